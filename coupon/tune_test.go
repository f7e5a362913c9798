package coupon

import (
	"bytes"
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/stock"
	"sinew/printer"
	"sinew/program"
	"sinew/strand"
)

// builtIn reads a built-in printer.
func builtIn(t testing.TB, id string) *printer.Card {
	t.Helper()
	return stock.Read(t, stock.Text("printer/"+id), printer.FromCard)
}

// Each print can be written, reads back without a finding, stays on the bed,
// and has a page with every reading.
func TestPrintsReadBack(t *testing.T) {
	for _, id := range []string{"twin-nozzle", "ironing-nozzle"} {
		c := builtIn(t, id)
		for _, name := range Calibrations() {
			k, err := NewCalibration(name, c, 240)
			if err != nil {
				t.Fatal(err)
			}
			set := program.Settings{TowArea: 0.1, PlasticTemperature: 240, Placed: k.Placed, Temperatures: k.Temperatures, Feeds: k.Feeds}
			rb := readBack(t, id+" "+name, k.Print, c, set)
			if len(k.Temperatures) > 0 && rb.Nozzle[printer.PlasticTool] <= 240 {
				t.Errorf("%s: highest temperature %v", name, rb.Nozzle)
			}
			page := string(k.Page(PageHead{Machine: "<b>", Program: "p.nc", Data: "d.csv", Caution: "take care"}))
			for _, r := range k.Readings {
				if !strings.Contains(page, "<td>"+r.Name+"</td>") {
					t.Errorf("%s: the page lacks %s", name, r.Name)
				}
			}
			if strings.Contains(page, "<b>") || !strings.Contains(page, "take care") {
				t.Errorf("%s: page %.300s", name, page)
			}
		}
	}
	if _, err := NewCalibration("mood", printerNamed(t), 240); err == nil {
		t.Error("an unknown print is planned")
	}
}

func printerNamed(t *testing.T) *printer.Card {
	c := builtIn(t, "twin-nozzle")
	return c
}

func readBack(t *testing.T, name string, pr *strand.Print, c *printer.Card, set program.Settings) *program.Readback {
	t.Helper()
	var b bytes.Buffer
	if _, err := program.Write(&b, pr, c, set); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	rb, err := program.Read(bytes.NewReader(b.Bytes()), c)
	if err != nil || len(rb.Findings) > 0 {
		t.Fatalf("%s: %v, %v", name, err, rb.Findings)
	}
	if cmp := program.Compare(pr, rb, c, set); !cmp.Agrees() {
		t.Errorf("%s: %v", name, cmp.Differences)
	}
	return rb
}

// A machine that is off by known amounts, read with a ruler's scatter: the fit
// brings its values back.
func TestFitsRecoverTheMachine(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	r := rand.New(rand.NewSource(7))
	scatter := func(s float64) float64 { return s * (2*r.Float64() - 1) }
	for _, row := range []struct {
		name string
		show func(k *Calibration, i int, q Reading) float64
		want map[string]float64
		tol  float64
	}{
		{"bed", func(_ *Calibration, _ int, q Reading) float64 {
			if q.Name[0] == 'x' {
				return q.Nominal + 1.7 + scatter(0.1)
			}
			return q.Nominal - 0.9 + scatter(0.1)
		}, map[string]float64{"zero_x": 1.7, "zero_y": -0.9}, 0.1},
		{"nozzles", func(_ *Calibration, _ int, q Reading) float64 { return map[string]float64{"x": -3, "y": 1.5}[q.Name] },
			map[string]float64{"composite_offset_x": 38.3, "composite_offset_y": -0.15}, 1e-9},
		{"cutter", func(_ *Calibration, _ int, q Reading) float64 {
			if strings.HasPrefix(q.Name, "start") {
				return 1.2 + scatter(0.2)
			}
			return q.Nominal - 2.5 + scatter(0.2)
		}, map[string]float64{"cutter_distance": 42.5, "restart_length": 47.2}, 0.2},
		{"flow", func(_ *Calibration, _ int, q Reading) float64 { return q.Nominal*1.06 + scatter(0.005) },
			map[string]float64{"filament_diameter": 1.75 * math.Sqrt(1.06)}, 0.01},
		{"temperature", func(k *Calibration, i int, _ Reading) float64 {
			d := k.Temperatures[i*len(k.Temperatures)/len(k.Readings)] - 246
			return 100 - d*d/10 + scatter(0.5)
		}, map[string]float64{"print_temperature": 246}, 1},
		{"speed", func(k *Calibration, i int, q Reading) float64 {
			if i > 3 {
				return q.Nominal * 0.9
			}
			return q.Nominal + scatter(0.01)
		}, map[string]float64{"plastic_flow_max": 12 * 4.0 / 6}, 0.01},
	} {
		k, err := NewCalibration(row.name, c, 240)
		if err != nil {
			t.Fatal(err)
		}
		var data strings.Builder
		data.WriteString("name,value\n# a note\n")
		for i, q := range k.Readings {
			fmt.Fprintf(&data, "%s, %.4f\n", q.Name, row.show(k, i, q))
		}
		got, err := ReadReadings(strings.NewReader(data.String()), k)
		if err != nil {
			t.Fatal(err)
		}
		changes, err := k.Fit(c, got)
		if err != nil || len(changes) != len(row.want) {
			t.Fatalf("%s: %v, %v", row.name, changes, err)
		}
		for _, ch := range changes {
			v := 0.0
			fmt.Sscanf(ch.Is, "%g", &v)
			if strings.HasSuffix(ch.Is, "cm³/s") {
				v *= 1000
			}
			close(t, row.name+" "+ch.Key, v, row.want[ch.Key], row.tol)
		}
		if changes[0].Kind == "printer" {
			edited, err := EditCard(stock.Text("printer/twin-nozzle"), "mine", "2026-11-25", changes)
			if err != nil {
				t.Fatal(err)
			}
			if n := stock.Read(t, edited, printer.FromCard); n.ID != "mine" || n.Version != "1, tuned" || n.Hash == c.Hash {
				t.Errorf("%s: card %s version %s", row.name, n.ID, n.Version)
			}
		}
	}
}

func TestFitsRefuse(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	for _, row := range []struct{ name, data, want string }{
		{"bed", "x1,20\n", "at least two"},
		{"bed", "x1,80\nx2,90\ny1,20\ny2,20\n", "off their places"},
		{"nozzles", "x,1\n", "both"},
		{"nozzles", "x,12\ny,0\n", "marks run"},
		{"cutter", "start1,0\nend1,150\n", "at least two"},
		{"flow", "wall1,3\nwall2,3\n", "half and twice"},
		{"temperature", "t220,5\n", "at least three"},
		{"speed", "v2,0.6\n", "slowest"},
		{"speed", "v9,0.6\n", "no reading"},
		{"speed", "v1,thin\n", "no number"},
		{"speed", "v1\n", "no value"},
	} {
		k, err := NewCalibration(row.name, c, 240)
		if err != nil {
			t.Fatal(err)
		}
		got, err := ReadReadings(strings.NewReader(row.data), k)
		if err == nil {
			_, err = k.Fit(c, got)
		}
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s, %q: %v", row.name, row.data, err)
		}
	}
}

func TestEditCardRefuses(t *testing.T) {
	for _, text := range []string{"", "id = \"a\"\n", "id = \"a\"\nversion = \"1\"\n", "id = \"a\"\nversion = \"1\"\n[value]\nvalue.k = 3\n"} {
		if out, err := EditCard(text, "b", "", []Change{{Key: "k", Is: "1 mm"}}); err == nil {
			t.Errorf("%q becomes %q", text, out)
		}
	}
	out, err := EditCard("id = \"a\" # old\nversion = \"1\"\n[value] \nother = { is = \"2 mm\" }\n", "b", "", []Change{{Key: "k", Is: "1 mm", Source: "measured"}})
	if err != nil || !strings.Contains(out, "k = { is = \"1 mm\", source = \"measured\" }") || !strings.Contains(out, "other = { is = \"2 mm\" }") {
		t.Errorf("%q, %v", out, err)
	}
}

// Panels hold their coupons with strands of the test's direction right through
// them, fit the bed, and read back.
func TestPanels(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	for _, test := range Tests() {
		p, err := NewPanel(test, c, PanelSettings{Count: 3, Spacing: 0.9})
		if err != nil {
			t.Fatalf("%s: %v", test.Name, err)
		}
		if math.Abs(p.Thickness-float64(p.Layers)*c.CompositeHeight) > 1e-12 || p.Thickness < test.Thickness-1e-9 {
			t.Errorf("%s: %v mm thick in %d layers", test.Name, p.Thickness, p.Layers)
		}
		if test.Name == "short-beam" && (p.Length != 6*p.Thickness || p.Width != 2*p.Thickness) {
			t.Errorf("short beam %v × %v × %v", p.Length, p.Width, p.Thickness)
		}
		for i := range p.Print.Layers {
			l := &p.Print.Layers[i]
			covered(t, test.Name, p, l)
			for k := range l.Strands {
				if n := l.Strands[k].Length(); n < c.CutterDistance {
					t.Errorf("%s: a strand of %v mm", test.Name, n)
				}
			}
		}
		set := program.Settings{TowArea: 0.1, PlasticTemperature: 240, Placed: true, Place: geom.Point{X: (c.Bed.X - p.X) / 2, Y: (c.Bed.Y - p.Y) / 2}}
		readBack(t, test.Name, p.Print, c, set)
		if page := string(p.Page(PageHead{})); !strings.Contains(page, test.Standard) || strings.Count(page, "class=\"write\"") != 3 {
			t.Errorf("%s: page lacks its standard or its rows", test.Name)
		}
	}
	for _, s := range []PanelSettings{{Spacing: 0.1}, {Count: 90}} {
		if _, err := NewPanel(Tests()[0], c, s); err == nil {
			t.Errorf("%+v is planned", s)
		}
	}
}

// covered holds that each point of a coupon has a strand within half a spacing.
func covered(t *testing.T, name string, p *Panel, l *strand.Layer) {
	t.Helper()
	for _, b := range p.Coupons {
		for k := range 30 {
			q := geom.Point{X: b.Min.X + (b.Max.X-b.Min.X)*float64(k)/29, Y: b.Min.Y + (b.Max.Y-b.Min.Y)*float64(k*7%30)/29}
			best := math.Inf(1)
			for i := range l.Strands {
				s := l.Strands[i].Points
				v := s[1].Sub(s[0])
				u := math.Max(0, math.Min(1, q.Sub(s[0]).Dot(v)/v.Dot(v)))
				best = math.Min(best, q.Dist(s[0].Add(v.Scale(u))))
			}
			if best > p.Spacing/2+1e-9 {
				t.Fatalf("%s: no strand within %v mm of %v", name, best, q)
			}
		}
	}
}

func FuzzReadReadings(f *testing.F) {
	c := builtIn(f, "twin-nozzle")
	var all []*Calibration
	for _, name := range []string{"bed", "nozzles", "cutter", "flow", "temperature", "speed"} {
		k, err := NewCalibration(name, c, 250)
		if err != nil {
			f.Fatal(err)
		}
		all = append(all, k)
		var b strings.Builder
		b.WriteString("name,value\n")
		for _, r := range k.Readings {
			fmt.Fprintf(&b, "%s,%g\n", r.Name, r.Nominal+0.1)
		}
		f.Add([]byte(b.String()))
	}
	f.Add([]byte("name,value\n# note\n\"a\",1e999\nb\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, k := range all {
			got, err := ReadReadings(bytes.NewReader(data), k)
			if err != nil {
				continue
			}
			changes, err := k.Fit(c, got)
			for _, x := range changes {
				if err == nil && (x.Key == "" || x.Is == "" || strings.Contains(x.Is, "NaN") || strings.Contains(x.Is, "Inf")) {
					t.Errorf("%s: %+v", k.Name, x)
				}
			}
		}
	})
}
