package printer

import (
	"strings"
	"testing"

	"sinew/internal/stock"
)

// builtIn reads a built-in printer.
func builtIn(t testing.TB, id string) *Card {
	t.Helper()
	return stock.Read(t, stock.Text("printer/"+id), FromCard)
}

func TestBuiltInCards(t *testing.T) {
	twin := builtIn(t, "twin-nozzle")
	if twin.Process != CoExtruded || twin.CutterDistance != 45 || twin.Bed.X != 320 || twin.Composite.Number != 2 || twin.Words.Extrude != 'E' {
		t.Errorf("twin-nozzle reads %+v", twin)
	}
	iron := builtIn(t, "ironing-nozzle")
	if iron.Process != PreImpregnated || iron.PregArea != 0.102 || !iron.Bed.Round || !iron.Arcs || iron.Words.CommentClose != "" {
		t.Errorf("ironing-nozzle reads %+v", iron)
	}
}

// Every value of the printer cards is invented, common practice, or of a
// standard: the machines do not exist.
func TestSources(t *testing.T) {
	for _, id := range []string{"twin-nozzle", "ironing-nozzle"} {
		for key, v := range stock.Card(t, stock.Text("printer/"+id)).Values {
			if !strings.HasPrefix(v.Source, "invented") && !strings.HasPrefix(v.Source, "common practice") && !strings.HasPrefix(v.Source, "ISO ") {
				t.Errorf("%s: %s has source %q", id, key, v.Source)
			}
		}
	}
}

func TestFromCardRefuses(t *testing.T) {
	rows := []struct {
		name    string
		replace []string
		want    []string
	}{
		{"wrong unit", []string{`"45 mm"`, `"45 kg"`}, []string{"value.cutter_distance"}},
		{"out of range", []string{`"300 °C"`, `"3000 °C"`}, []string{"value.nozzle_max", "600"}},
		{"spacing upside down", []string{`spacing_max = { is = "2.0 mm"`, `spacing_max = { is = "0.5 mm"`}, []string{"spacing_max", "below spacing_min"}},
		{"tension without a hold", []string{"corner_hold", "corner_held"}, []string{"corner_hold: is missing", "corner_held: unknown key"}},
		{"tow that does not stay", []string{`"0.4 N"`, `"40 N"`}, []string{"tow_tension", "4.47 mm"}},
		{"same tool twice", []string{`composite_tool = { is = "2"`, `composite_tool = { is = "1"`}, []string{"composite_tool", "plastic tool's number"}},
		{"feed falls", []string{`["5 mm", "5 mm/s"]`, `["5 mm", "1 mm/s"]`}, []string{"strand_feed", "falls"}},
		{"unknown key", []string{"swap_time", "swop_time"}, []string{"swap_time: is missing", "swop_time: unknown key"}},
		{"loop", []string{`"M96 L{{.Length}}"`, `"{{range .Length}}M96{{end}}"`}, []string{"template.cut", "range", "not allowed"}},
		{"condition", []string{`"M96 L{{.Length}}"`, `"{{if .Length}}M96{{end}}"`}, []string{"template.cut", "not allowed"}},
		{"nested template", []string{`"M96 L{{.Length}}"`, `"{{template \"cut\"}}"`}, []string{"template.cut", "not allowed"}},
		{"variable", []string{`"M96 L{{.Length}}"`, `"M96 L{{$x := .Length}}"`}, []string{"template.cut", "not allowed"}},
		{"unclosed action", []string{`"M96 L{{.Length}}"`, `"M96 L{{.Length"`}, []string{"template.cut", "unclosed"}},
		{"unknown function", []string{`{{perMinute .Feed}}`, `{{printf .Feed}}`}, []string{"template.restart", "printf", "perMinute"}},
		{"unknown field", []string{`"M96 L{{.Length}}"`, `"M96 L{{.Tool}}"`}, []string{"template.cut", ".Tool", ".Length"}},
		{"no word", []string{`"M96 L{{.Length}}"`, `"cut now"`}, []string{"template.cut", "line 1", "starts no word"}},
		{"letter alone", []string{`"M96 L{{.Length}}"`, `"M96 L"`}, []string{"template.cut", "L has no number"}},
		{"field alone", []string{`"M96 L{{.Length}}"`, `"M96 {{.Length}}"`}, []string{"template.cut", "follows no letter"}},
		{"open comment", []string{`"(layer {{.Layer}} at {{.Z}} mm)"`, `"(layer {{.Layer}}"`}, []string{"template.layer", "does not end"}},
		{"missing template", []string{`cut = "M96 L{{.Length}}"`, ``}, []string{"template.cut", "is missing"}},
		{"unknown template", []string{`cut = "M96`, `chop = "M96`}, []string{"template.chop", "unknown template"}},
		{"same words twice", []string{`"M96 L{{.Length}}"`, `"M95 L{{.Length}} F1"`, `"M95 L{{.Length}} F{{perMinute .Feed}}"`, `"M95 L{{.Length}} F1"`}, []string{"starts as template"}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			_, err := FromCard(stock.Card(t, stock.Text("printer/twin-nozzle", row.replace...)))
			if err == nil {
				t.Fatal("accepted")
			}
			for _, w := range row.want {
				if !strings.Contains(err.Error(), w) {
					t.Errorf("error %q lacks %q", err, w)
				}
			}
		})
	}
	c := stock.Card(t, stock.Text("printer/twin-nozzle"))
	c.Kind = "tow"
	if _, err := FromCard(c); err == nil {
		t.Error("a tow card was accepted")
	}
}

func TestTemplateRenders(t *testing.T) {
	rows := []struct {
		id, name string
		v        Values
		want     string
	}{
		{"twin-nozzle", "restart", Values{"Length": 46, "Feed": 12}, "M95 L46 F720\n"},
		{"twin-nozzle", "fan", Values{"Share": 0.405}, "M94 S41\n"},
		{"twin-nozzle", "layer", Values{"Layer": 3, "Z": 0.84}, "(layer 3 at 0.84 mm)\n"},
		{"twin-nozzle", "start", nil, "G71\nG90 G94\n"},
		{"ironing-nozzle", "fan", Values{"Share": 1}, "M45 R255\n"},
		{"ironing-nozzle", "nozzle_wait", Values{"Tool": 1, "Temperature": 259.6}, "M44 H1 R260\n"},
	}
	for _, row := range rows {
		got := string(builtIn(t, row.id).Templates[row.name].Append(nil, row.v))
		if got != row.want {
			t.Errorf("%s %s: %q, want %q", row.id, row.name, got, row.want)
		}
	}
}

func TestBedOutside(t *testing.T) {
	round := Bed{X: 300, Y: 300, Z: 100, Round: true}
	box := Bed{X: 300, Y: 200, Z: 100}
	for _, row := range []struct {
		name string
		bed  Bed
		x, y float64
		want float64
	}{
		{"middle of a circle", round, 150, 150, -150},
		{"corner of its square", round, 0, 0, 150 * (1.4142135623730951 - 1)},
		{"inside a rectangle", box, 10, 100, -10},
		{"beyond its top", box, 10, 203, 3},
	} {
		if got := row.bed.Outside(pt(row.x, row.y)); got-row.want > 1e-9 || row.want-got > 1e-9 {
			t.Errorf("%s: %v, want %v", row.name, got, row.want)
		}
	}
}
