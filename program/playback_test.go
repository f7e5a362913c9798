package program

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/printer"
	"sinew/strand"
)

func played(t *testing.T, text []byte, c *printer.Card) ([]Frame, *Report) {
	t.Helper()
	var out []Frame
	rep, err := Play(context.Background(), bytes.NewReader(text), c, func(f Frame) { out = append(out, f) })
	if err != nil {
		t.Fatal(err)
	}
	return out, rep
}

// Frames fill the program's time without a gap, follow one another in place,
// and bring back strands, beads and plastic as the reading does.
func TestPlayback(t *testing.T) {
	for _, id := range []string{"twin-nozzle", "ironing-nozzle"} {
		c := builtIn(t, id)
		for seed := range int64(6) {
			pr := samplePrint(c, seed)
			text, sum := written(t, pr, c, settings())
			frames, rep := played(t, text, c)
			clock, plastic, laid := 0.0, 0.0, 0.0
			strands, beads := map[int]float64{}, map[int]bool{}
			for i, f := range frames {
				if f.Start != clock || f.End < f.Start {
					t.Fatalf("%s %d: frame %d runs from %v to %v, the clock stands at %v", id, seed, i, f.Start, f.End, clock)
				}
				clock = f.End
				if i > 0 && f.From != frames[i-1].To && frames[i-1].Activity != Swapping {
					t.Fatalf("%s %d: frame %d (line %d) starts at %v, the one before ends at %v", id, seed, i, f.Line, f.From, frames[i-1].To)
				}
				n := dist3(f.From, f.To)
				plastic += f.Section * n
				if f.Strand >= 0 && f.Activity == Laying {
					strands[f.Strand] += n
					laid += n
				}
				if f.Bead >= 0 {
					beads[f.Bead] = true
				}
				checkFrame(t, f, n)
			}
			if math.Abs(clock-rep.Time) > 1e-9*rep.Time {
				t.Errorf("%s %d: frames last %v s, the program %v s", id, seed, clock, rep.Time)
			}
			if got := rep.Plastic[0] + rep.Plastic[1]; math.Abs(plastic-got) > 1e-6*got {
				t.Errorf("%s %d: %v mm³ played, %v read", id, seed, plastic, got)
			}
			if len(strands) != sum.Strands || len(beads) != rep.Beads || math.Abs(laid-rep.Tow) > 1e-6*rep.Tow {
				t.Errorf("%s %d: %d strands, %d beads, %v mm played; %d, %d, %v read", id, seed, len(strands), len(beads), laid, sum.Strands, rep.Beads, rep.Tow)
			}
		}
	}
}

func dist3(a, b [3]float64) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

// Within a frame the nozzle runs from one end to the other, never backwards,
// and its speed is the change of its place.
func checkFrame(t *testing.T, f Frame, n float64) {
	t.Helper()
	if n == 0 {
		return
	}
	const steps = 8
	last, way := f.From, 0.0
	for i := 1; i <= steps; i++ {
		at := f.Start + (f.End-f.Start)*float64(i)/steps
		p, v := f.At(at)
		way += dist3(p, last)
		last = p
		if v > f.Feed*(1+1e-9) || v < 0 {
			t.Fatalf("line %d: speed %v, asked %v", f.Line, v, f.Feed)
		}
	}
	if dist3(last, f.To) > 1e-6 || way > n+1e-6 {
		t.Fatalf("line %d: ends at %v after %v mm, want %v after %v mm", f.Line, last, way, f.To, n)
	}
}

// The integral of the speed over a frame is its way: 200 samples of a long move
// that speeds up, runs and brakes; each of its two kinks costs a·h²/8 = 7 µm.
func TestFrameSpeed(t *testing.T) {
	f := Frame{Start: 3, To: [3]float64{100, 0, 0}, Feed: 50, acceleration: 500}
	f.End = 3 + 50.0/500 + 100.0/50
	sum, h := 0.0, (f.End-f.Start)/200
	for i := range 200 {
		_, v := f.At(f.Start + (float64(i)+0.5)*h)
		sum += v * h
	}
	if math.Abs(sum-100) > 0.015 {
		t.Errorf("integral of the speed %v mm, want 100", sum)
	}
}

// A bead's width in a frame is the width that was planned.
func TestFrameWidth(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	st := line(geom.Point{X: 10, Y: 10}, geom.Point{X: 110, Y: 10}, 0.7)
	for i := range st.Width {
		st.Width[i] = 0.7
	}
	pr := &strand.Print{Region: shapes.Plate(120, 20), Layers: []strand.Layer{{Kind: strand.Composite, Height: 0.32, Z: 0.32, Strands: []strand.Strand{st},
		Beads: []strand.Bead{{Width: 0.6, Points: []geom.Point{{X: 1, Y: 1}, {X: 51, Y: 1}}}}}}}
	text, _ := written(t, pr, c, settings())
	frames, _ := played(t, text, c)
	for _, f := range frames {
		want := -1.0
		switch {
		case f.Activity == Laying && f.Strand == 0:
			want = 0.7
		case f.Activity == Walling && f.Bead == 0:
			want = 0.6
		default:
			continue
		}
		if got := f.Width(0.103); math.Abs(got-want) > 2e-3 || f.Temperature != 260 || f.Height != 0.32 {
			t.Errorf("line %d: width %v, want %v; %v °C, height %v", f.Line, got, want, f.Temperature, f.Height)
		}
	}
}

func TestPlayStops(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	text, _ := written(t, samplePrint(c, 1), c, settings())
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Play(ctx, bytes.NewReader(text), c, func(Frame) {}); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}

func ExampleFrame_At() {
	f := Frame{To: [3]float64{10, 0, 0}, End: 1, In: 10, Out: 10, Feed: 10, acceleration: 500}
	place, speed := f.At(0.5)
	fmt.Printf("x %.1f mm at %.0f mm/s\n", place[0], speed)
	// Output: x 5.0 mm at 10 mm/s
}
