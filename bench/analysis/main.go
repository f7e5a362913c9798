// Command analysis times a whole membrane analysis, from mesh to recovered
// stress, of an orthotropic plate with holes at several sizes, each in a process
// of its own, and prints a table as Markdown; with -svg it also draws time
// against size.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"time"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

// steps of an analysis, in order.
var steps = []string{"mesh", "constraints, pattern, ordering", "assembly, factor, solution", "nodal stress", "error estimate", "again with another sheet"}

// record is what one process measured.
type record struct {
	Triangles, Nodes, Unknowns int
	Seconds                    []float64 // of each step
	Whole                      float64   // mesh to nodal stress and its error estimate
	Processor                  float64   // of Whole, over both processors
	Memory                     float64   // most resident memory, MiB
	Error                      float64   // estimated, energy norm
}

func main() {
	size := flag.Float64("size", 0, "measure once at this side length, mm, and print JSON")
	rounds := flag.Int("rounds", 3, "runs at each size; the least times count")
	svg := flag.String("svg", "", "file for the plot")
	flag.Parse()
	if *size > 0 {
		json.NewEncoder(os.Stdout).Encode(measure(*size))
		return
	}
	var all []record
	for _, s := range []float64{5, 2.5, 1.25, 0.8} {
		all = append(all, best(s, *rounds))
	}
	report(all)
	if *svg != "" {
		check(os.WriteFile(*svg, plot(all), 0o644))
	}
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// best is the run of the least whole time.
func best(size float64, rounds int) record {
	var least record
	for range rounds {
		out, err := exec.Command(os.Args[0], "-size", fmt.Sprint(size)).Output()
		check(err)
		var r record
		check(json.Unmarshal(out, &r))
		if least.Whole == 0 || r.Whole < least.Whole {
			least = r
		}
	}
	return least
}

// plate is 200 by 80 mm with two round holes, held on its left edge, pulled on
// its right.
func plate() *part.Part {
	outer := geom.Polyline(geom.Point{}, geom.Point{X: 200}, geom.Point{X: 200, Y: 80}, geom.Point{Y: 80})
	region := geom.Region{Outer: outer, Holes: []geom.Loop{
		geom.Circle(geom.Point{X: 60, Y: 40}, 15).Reverse(), geom.Circle(geom.Point{X: 140, Y: 30}, 10).Reverse()}}
	edge := func(name string, i int) part.Feature {
		return part.Feature{Name: name, Kind: part.Side, Edges: []int{i}}
	}
	return &part.Part{
		Region: region, Thickness: 2,
		Features: []part.Feature{edge("right", 1), edge("left", 3)},
		Supports: []part.Support{{Feature: 1}},
		Cases:    []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 0, Kind: part.Traction, Force: geom.Point{X: 1000}}}}},
	}
}

// sheet is an orthotropic layer whose direction turns over the plate.
func sheet(points []geom.Point, turn float64) stress.Sheet {
	q := material.Lamina{E1: 60e3, E2: 3.5e3, G12: 1.8e3, Nu12: 0.33}.Reduced()
	s := stress.Sheet{A: make([]material.Stiffness, len(points))}
	for i, p := range points {
		s.A[i] = material.Stiffness{}.Add(q.Turn(turn*math.Sin(p.X/40)), 2)
	}
	return s
}

func measure(size float64) record {
	var r record
	p := plate()
	from := time.Now()
	begin, burnt := from, processor()
	lap := func() {
		now := time.Now()
		r.Seconds = append(r.Seconds, now.Sub(from).Seconds())
		from = now
	}
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: size})
	check(err)
	lap()
	sys, err := stress.NewSystem(m, p, stress.Settings{Workers: 2})
	check(err)
	lap()
	sh := sheet(sys.Points(), 0.3)
	sol, err := sys.Solve(context.Background(), sh)
	check(err)
	lap()
	nodal := sys.NodalStress(&sol.Cases[0], sh)
	lap()
	est := sys.Estimate(&sol.Cases[0], sh)
	lap()
	r.Whole, r.Processor = time.Since(begin).Seconds(), processor()-burnt
	sh = sheet(sys.Points(), 0.5)
	from = time.Now()
	_, err = sys.Solve(context.Background(), sh)
	check(err)
	lap()
	r.Triangles, r.Nodes, r.Unknowns, r.Error = len(m.Tris), len(nodal), sys.Unknowns(), est.Relative
	r.Memory = resident()
	return r
}

// processor is the processor time of this process, s, which other programs on
// the machine disturb less than the clock.
func processor() float64 {
	var u syscall.Rusage
	check(syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// resident is the most memory the process held, MiB.
func resident() float64 {
	text, err := os.ReadFile("/proc/self/status")
	check(err)
	for _, line := range strings.Split(string(text), "\n") {
		if f := strings.Fields(line); len(f) > 1 && f[0] == "VmHWM:" {
			kb, err := strconv.ParseFloat(f[1], 64)
			check(err)
			return kb / 1024
		}
	}
	return math.NaN()
}

func report(all []record) {
	fmt.Print("| triangles | nodes | unknowns |")
	for _, s := range steps {
		fmt.Printf(" %s s |", s)
	}
	fmt.Println(" mesh to stress and estimate s | the same, processor s | greatest memory MiB |")
	fmt.Println("|---|---|---|" + strings.Repeat("---|", len(steps)+3))
	for _, r := range all {
		fmt.Printf("| %d | %d | %d |", r.Triangles, r.Nodes, r.Unknowns)
		for _, s := range r.Seconds {
			fmt.Printf(" %.3f |", s)
		}
		fmt.Printf(" %.2f | %.2f | %.0f |\n", r.Whole, r.Processor, r.Memory)
	}
}

// plot draws the time of each step and of the whole against the unknowns, both
// scales logarithmic.
func plot(all []record) []byte {
	const width, height, left, bottom, right = 680.0, 420.0, 70.0, 50.0, 230.0
	lo, hi := float64(all[0].Unknowns)/1.2, float64(all[len(all)-1].Unknowns)*1.2
	x := func(n int) float64 { return left + (width-left-right)*math.Log(float64(n)/lo)/math.Log(hi/lo) }
	y := func(t float64) float64 { return (height - bottom) * (1 - math.Log(t/0.003)/math.Log(10/0.003)) }
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 -10 %g %g" font-family="sans-serif" font-size="12">`+"\n", width, height+10)
	fmt.Fprintf(&b, `<rect y="-10" width="%g" height="%g" fill="white"/>`+"\n", width, height+10)
	for _, t := range []float64{0.01, 0.1, 1, 10} {
		fmt.Fprintf(&b, `<path d="M%g %.1fH%g" stroke="#ccc"/><text x="%g" y="%.1f" text-anchor="end">%g s</text>`+"\n", left, y(t), width-right, left-6, y(t)+4, t)
	}
	for _, r := range all {
		fmt.Fprintf(&b, `<text x="%.1f" y="%g" text-anchor="middle">%d</text>`+"\n", x(r.Unknowns), height-bottom+18, r.Unknowns)
	}
	fmt.Fprintf(&b, `<text x="%g" y="%g" text-anchor="middle">unknowns</text>`+"\n", (left+width-right)/2, height-12)
	colours := []string{"#26a", "#484", "#c72", "#849", "#777", "#299", "#c22"}
	for k, name := range append(append([]string(nil), steps...), "mesh to stress and estimate") {
		path := "M"
		for _, r := range all {
			t := r.Whole
			if k < len(r.Seconds) {
				t = r.Seconds[k]
			}
			path += fmt.Sprintf("%.1f %.1f ", x(r.Unknowns), y(t))
		}
		fmt.Fprintf(&b, `<path d="%s" fill="none" stroke="%s" stroke-width="2"/>`+"\n", path, colours[k])
		fmt.Fprintf(&b, `<path d="M%g %dh20" stroke="%s" stroke-width="2"/><text x="%g" y="%d">%s</text>`+"\n", width-right+10, 20+22*k, colours[k], width-right+36, 24+22*k, name)
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}
