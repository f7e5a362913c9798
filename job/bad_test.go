package job

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"sinew/check"
	"sinew/internal/stock"
)

// dxf wraps entities of millimetres.
func dxf(entities ...string) string {
	return dxfIn("4", entities...)
}

// dxfIn wraps entities of a unit by its DXF number, "" for none.
func dxfIn(unit string, entities ...string) string {
	head := "9\n$ACADVER\n1\nAC1015\n"
	if unit != "" {
		head += "9\n$INSUNITS\n70\n" + unit + "\n"
	}
	return "0\nSECTION\n2\nHEADER\n" + head + "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" + strings.Join(entities, "") + "0\nENDSEC\n0\nEOF\n"
}

// loop is a closed polyline through x, y pairs; open leaves its last side out.
func loop(xy ...float64) string { return polyline(1, xy) }
func open(xy ...float64) string { return polyline(0, xy) }

func polyline(flag int, xy []float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "0\nLWPOLYLINE\n8\nOUTLINE\n90\n%d\n70\n%d\n", len(xy)/2, flag)
	for i := 0; i < len(xy); i += 2 {
		fmt.Fprintf(&b, "10\n%g\n20\n%g\n", xy[i], xy[i+1])
	}
	return b.String()
}

func circle(x, y, r float64) string {
	return fmt.Sprintf("0\nCIRCLE\n8\nHOLES\n10\n%g\n20\n%g\n40\n%g\n", x, y, r)
}

// plate is the small job's plate with square ends.
func plate(more ...string) string {
	return dxf(append([]string{loop(-15, -15, 115, -15, 115, 15, -15, 15), circle(0, 0, 4), circle(100, 0, 4)}, more...)...)
}

// badInput is the small job with one thing wrong.
type badInput struct {
	name    string
	edit    []string // pairs: text of the job file, what stands there instead
	drawing string   // instead of the sample
	files   map[string]string
	want    string // all of these, parted by "|", stand in the message
	stop    string // the id of the finding that stops the part, where that is the answer
}

var badInputs = []badInput{
	// The form of the file.
	{name: "bad syntax", edit: []string{`name = "small plate"`, `name = "small plate`}, want: "job.toml:2"},
	{name: "empty file", edit: []string{smallText, ""}, want: "schema|held nowhere"},
	{name: "binary rubbish as a job", edit: []string{smallText, "\x00\x01\xff\xfe\x7f"}, want: "job.toml:1"},
	{name: "file over 1 MiB", edit: []string{smallText, smallText + strings.Repeat("# more\n", 1<<18)}, want: "job.toml|1048576"},
	{name: "endless unknown tables", edit: []string{smallText, strings.Repeat("[[a.b]]\n", 100_000)}, want: "job.toml|lines"},
	{name: "other schema", edit: []string{"sinew-job/1", "sinew-job/9"}, want: "job.toml:1|schema"},
	{name: "unknown key", edit: []string{"thickness =", "thicknes ="}, want: "job.toml:6|thicknes|unknown key"},
	{name: "key in other letters", edit: []string{"thickness =", "Thickness ="}, want: "job.toml:6|part.Thickness|unknown key"},
	{name: "one table for a list", edit: []string{"[[case]]", "[case]"}, want: "job.toml:20|case|[[case]]"},
	{name: "unknown table", edit: []string{"[mesh]", "[meshes]"}, want: "meshes|unknown key"},
	{name: "same key twice", edit: []string{`name = "small plate"`, "name = \"a\"\nname = \"b\""}, want: "job.toml:3"},
	{name: "same table twice", edit: []string{"[mesh]", "[layup]"}, want: "job.toml:"},
	{name: "number for a quantity", edit: []string{`"1.04 mm"`, "1.04"}, want: "job.toml:6|thickness"},
	{name: "number for a coordinate", edit: []string{`["40 mm", "0 mm"]`, `[40, "0 mm"]`}, want: "job.toml:|probe[0].point|no unit"},
	{name: "text for a count", edit: []string{"layers = 2", `layers = "two"`}, want: "job.toml:|layers"},
	{name: "deep nesting", edit: []string{`name = "small plate"`, "name = " + strings.Repeat("[", 100_000) + strings.Repeat("]", 100_000)}, want: "job.toml:2|nested"},
	{name: "no name", edit: []string{`name = "small plate"`, ""}, want: "name|missing"},

	// Quantities.
	{name: "missing unit", edit: []string{`"1.04 mm"`, `"1.04"`}, want: "job.toml:6|thickness|unit"},
	{name: "wrong kind of unit", edit: []string{`"1.04 mm"`, `"1.04 N"`}, want: "job.toml:6|thickness|N"},
	{name: "zero thickness", edit: []string{`"1.04 mm"`, `"0 mm"`}, want: "job.toml:6|part.thickness"},
	{name: "negative thickness", edit: []string{`"1.04 mm"`, `"-1 mm"`}, want: "job.toml:6|part.thickness"},
	{name: "thickness nan", edit: []string{`"1.04 mm"`, `"nan mm"`}, want: "job.toml:6|thickness"},
	{name: "force inf", edit: []string{`"60 N"`, `"inf N"`}, want: "job.toml:26|force"},
	{name: "force beyond numbers", edit: []string{`"60 N"`, `"1e400 N"`}, want: "job.toml:26|force"},
	{name: "force beyond any part", edit: []string{`"60 N"`, `"1e15 N"`}, want: "job.toml:|case[0].load[0]|unit"},
	{name: "unknown notch rule", edit: []string{"[mesh]", "[judge]\nnotch = \"hole\"\n[mesh]"}, want: "judge.notch|point-stress"},
	{name: "unknown criterion", edit: []string{"[mesh]", "[judge]\ncriterion = \"best\"\n[mesh]"}, want: "judge.criterion|tsai-wu"},
	{name: "unknown method", edit: []string{"tow = \"carbon-tow\"", "tow = \"carbon-tow\"\nbead_method = \"guess\""}, want: "material.bead_method|chamis"},
	{name: "method for a stated bead", edit: []string{"tow = \"carbon-tow\"", "bead = \"stated-carbon-bead\"\ntow_method = \"chamis\""}, want: "material|states the bead's law"},
	{name: "zero force", edit: []string{`"60 N"`, `"0 N"`}, want: "job.toml:26|case[0].load[0].force"},
	{name: "factor 0", edit: []string{"factor = 1.5", "factor = 0"}, want: "job.toml:22|case[0].factor"},
	{name: "factor nan", edit: []string{"factor = 1.5", "factor = nan"}, want: "job.toml:22|case[0].factor"},
	{name: "factor inf", edit: []string{"factor = 1.5", "factor = inf"}, want: "job.toml:22|case[0].factor"},

	// The drawing.
	{name: "drawing missing", edit: []string{"plate.dxf", "plane.dxf"}, want: "plane.dxf|is not there"},
	{name: "drawing outside the folder", edit: []string{"plate.dxf", "../plate.dxf"}, want: "job.toml:5|part.drawing|outside"},
	{name: "drawing is the folder", edit: []string{"plate.dxf", "."}, want: "folder"},
	{name: "drawing of unknown type", edit: []string{"plate.dxf", "plate.txt"}, files: map[string]string{"plate.txt": plate()}, want: "plate.txt|.dxf"},
	{name: "drawing without unit", drawing: dxfIn("", loop(-15, -15, 115, -15, 115, 15, -15, 15), circle(0, 0, 4), circle(100, 0, 4)), want: "plate.dxf|unit"},
	{name: "contradicting unit", edit: []string{"drawing =", "units = \"in\"\ndrawing ="}, want: "plate.dxf|unit"},
	{name: "unit that is none", edit: []string{"drawing =", "units = \"furlong\"\ndrawing ="}, want: "job.toml:5|part.units"},
	{name: "layer that is not there", edit: []string{"drawing =", "layers = [\"NOWHERE\"]\ndrawing ="}, want: "plate.dxf|NOWHERE"},
	{name: "empty drawing", drawing: dxf(), want: "plate.dxf"},
	{name: "empty file for a drawing", drawing: " ", want: "plate.dxf"},
	{name: "binary rubbish", drawing: "\x7fELF\x00\x00\x01\xff\xfe\x00\x13\x37", want: "plate.dxf"},
	{name: "truncated drawing", drawing: plate()[:len(plate())/2], want: "plate.dxf"},
	{name: "open outline", drawing: dxf(open(-15, -15, 115, -15, 115, 15, -15, 15)), want: "plate.dxf|open"},
	{name: "self-crossing outline", drawing: dxf(loop(-15, -15, 115, 15, 115, -35, -15, 15)), want: "plate.dxf|cross"},
	{name: "hole outside", drawing: plate(circle(300, 0, 5)), want: "plate.dxf|outline"},
	{name: "hole touching the edge", drawing: plate(circle(50, 10, 5)), want: "plate.dxf|hole|touch"},
	{name: "hole across the edge", drawing: plate(circle(50, 15, 5)), want: "plate.dxf"},
	{name: "holes that overlap", drawing: plate(circle(50, 0, 5), circle(55, 0, 5)), want: "plate.dxf"},
	{name: "outline without area", drawing: dxf(loop(0, 0, 100, 0, 50, 0)), want: "plate.dxf"},
	{name: "two outlines", drawing: plate(loop(200, 0, 250, 0, 250, 20, 200, 20)), want: "plate.dxf|2 separate outlines"},
	{name: "circle of no radius", drawing: plate(circle(50, 0, 0)), want: "plate.dxf|radius"},
	{name: "coordinate nan", drawing: strings.Replace(plate(), "115", "nan", 1), want: "plate.dxf"},
	{name: "huge coordinates", drawing: strings.ReplaceAll(plate(), "115", "1e300"), want: "plate.dxf"},
	{name: "cyclic blocks", drawing: cyclicBlocks(), want: "plate.dxf|block"},
	{name: "spline of a billion vertices", drawing: dxf("0\nSPLINE\n8\nOUTLINE\n70\n8\n71\n3\n72\n1000000004\n73\n1000000000\n40\n0\n10\n0\n20\n0\n"), want: "plate.dxf"},
	{name: "scalable drawing that is no XML", edit: []string{"plate.dxf", "plate.svg"}, files: map[string]string{"plate.svg": "<svg <<"}, want: "plate.svg"},

	// Features, supports, cases, probes.
	{name: "pick that fits nothing", edit: []string{`near = ["0 mm", "0 mm"]`, `diameter = "33 mm"`}, want: "job.toml:8|feature[0]|no hole fits"},
	{name: "ambiguous pick", edit: []string{`near = ["0 mm", "0 mm"]`, `diameter = "8 mm"`}, want: "job.toml:8|feature[0]"},
	{name: "pick that picks nothing", edit: []string{`near = ["0 mm", "0 mm"]`, ``}, want: "job.toml:10|feature[0].hole"},
	{name: "feature that is hole and side", edit: []string{`hole = { near = ["0 mm", "0 mm"] }`, "hole = { diameter = \"8 mm\" }\nside = { end = \"left\" }"}, want: "job.toml:8|feature[0]"},
	{name: "two features of one name", edit: []string{`name = "right hole"`, `name = "left hole"`}, want: "job.toml:13|feature[1].name|twice"},
	{name: "no support", edit: []string{"[[support]]\nat = \"left hole\"\nhow = \"fixed\"", ""}, want: "held nowhere"},
	{name: "support on nothing", edit: []string{"[[support]]\nat = \"left hole\"", "[[support]]\nat = \"middle hole\""}, want: "job.toml:17|support[0].at|middle hole"},
	{name: "support free to move", edit: []string{`how = "fixed"`, `how = "sliding"`}, want: "job.toml|move"},
	{name: "support free to turn", edit: []string{`how = "fixed"`, `how = "pinned"`}, want: "job.toml|rotation"},
	{name: "no case", edit: []string{smallText[strings.Index(smallText, "[[case]]"):strings.Index(smallText, "[[probe]]")], ""}, want: "case|no load case"},
	{name: "case without loads", edit: []string{smallText[strings.Index(smallText, "  [[case.load]]"):strings.Index(smallText, "[[probe]]")], ""}, want: "job.toml:20|case[0]"},
	{name: "two cases of one name", edit: []string{"[[probe]]", "[[case]]\nname = \"pull\"\nacceleration = [\"0 m/s²\", \"9.81 m/s²\"]\n[[probe]]"}, want: "case[1].name|twice"},
	{name: "load on nothing", edit: []string{"  at = \"right hole\"", "  at = \"hook\""}, want: "job.toml:24|case[0].load[0].at|hook"},
	{name: "load on a fixed feature", edit: []string{"  at = \"right hole\"", "  at = \"left hole\""}, want: "job.toml:24|held fixed"},
	{name: "bearing on a side", edit: []string{`hole = { near = ["80 mm", "0 mm"] }`, `side = { near = ["50 mm", "-15 mm"] }`}, want: "job.toml:24|not a round hole"},
	{name: "force for a pressure", edit: []string{`how = "bearing"`, `how = "pressure"`}, want: "job.toml:26|case[0].load[0].force"},
	{name: "probe outside the part", edit: []string{`point = ["40 mm", "0 mm"]`, `point = ["400 mm", "0 mm"]`}, want: "job.toml:31|probe[0].point|outside"},
	{name: "point of one coordinate", edit: []string{`point = ["40 mm", "0 mm"]`, `point = ["40 mm"]`}, want: "job.toml:31|probe[0].point|holds 1 values where 2 belong"},
	{name: "probe in a hole", edit: []string{`point = ["40 mm", "0 mm"]`, `point = ["100 mm", "0 mm"]`}, want: "job.toml:31|probe[0].point|outside"},
	{name: "probe without place", edit: []string{`point = ["40 mm", "0 mm"]`, ``}, want: "job.toml:29|probe[0]"},

	// Cards.
	{name: "unknown card", edit: []string{`plastic = "polyamide"`, `plastic = "unobtainium"`}, want: "job.toml:35|material.plastic|unobtainium"},
	{name: "card by a path", edit: []string{`plastic = "polyamide"`, `plastic = "../plastic/polyamide"`}, want: "job.toml:35|material.plastic"},
	{name: "card of the wrong kind", edit: []string{`plastic = "polyamide"`, `plastic = "carbon-tow"`}, want: "material.plastic|carbon-tow"},
	{name: "own card of the wrong kind", edit: []string{`plastic = "polyamide"`, `plastic = "own"`}, files: map[string]string{"cards/own.toml": "schema = \"sinew-card/1\"\nkind = \"tow\"\nid = \"own\"\ntitle = \"Own\"\nversion = \"1\"\n[value]\n"}, want: "own.toml|kind"},
	{name: "own card that is rubbish", edit: []string{`plastic = "polyamide"`, `plastic = "own"`}, files: map[string]string{"cards/own.toml": "\x00\xff"}, want: "own.toml"},
	{name: "own card without a value", edit: []string{`plastic = "polyamide"`, `plastic = "own"`}, files: map[string]string{"cards/own.toml": "schema = \"sinew-card/1\"\nkind = \"plastic\"\nid = \"own\"\ntitle = \"Own\"\nversion = \"1\"\n[value]\n"}, want: "own.toml"},
	{name: "no tow", edit: []string{`tow = "carbon-tow"`, ``}, want: "material.tow|missing"},
	{name: "temperature beyond any part", edit: []string{`tow = "carbon-tow"`, "tow = \"carbon-tow\"\ntemperature = \"900 °C\""}, want: "job.toml:35|material.temperature"},
	{name: "plastic too hot for the printer", edit: []string{`"steered"`, `"straight"`, `plastic = "polyamide"`, `plastic = "hot"`}, files: map[string]string{"cards/hot.toml": stock.Text("plastic/polyamide", `id = "polyamide"`, `id = "hot"`, `"260 °C"`, `"420 °C"`)}, stop: "too-hot", want: "420 °C"},

	// The lay-up.
	{name: "stack does not meet the thickness", edit: []string{`"1.04 mm"`, `"2 mm"`}, want: "job.toml|thickness|2"},
	{name: "no family", edit: []string{smallText[strings.Index(smallText, "[[layup.family]]"):strings.Index(smallText, "[mesh]")], ""}, want: "layup.family"},
	{name: "negative layers", edit: []string{"layers = 2", "layers = -2"}, want: "job.toml:43|layup.family[0].layers"},
	{name: "negative covers", edit: []string{"bottom = 1", "bottom = -1"}, want: "job.toml:39|layup.covers.bottom"},
	{name: "walls that leave no room", edit: []string{"[layup]", "[layup]\nwalls = 20"}, drawing: dxf(loop(-8, -8, 108, -8, 108, 8, -8, 8), circle(0, 0, 4), circle(100, 0, 4)), want: "job.toml|wall"},
	{name: "search for beauty", edit: []string{"[layup.refine]", "[layup.search]\ngoal = \"beauty\"\n[layup.refine]"}, want: "layup.search.goal|stiffness"},
	{name: "search among none", edit: []string{"[layup.refine]", "[layup.search]\ncandidates = [\"woven\"]\n[layup.refine]"}, want: "layup.search.candidates[0]|rim"},
	{name: "search for less than the plastic", edit: []string{"[layup.refine]", "[layup.search]\nprice = 0.001\n[layup.refine]"}, want: "layup.search.price|buy"},
	{name: "plain plastic with strands", edit: []string{`"steered"`, `"plain"`}, want: "layup.family[0].spacing|no strands"},
	{name: "lock without a search", edit: []string{"layers = 2", "layers = 2\nlock = true"}, want: "layup.family[0].lock|search"},
	{name: "steps below none", edit: []string{"steps = 2", "steps = -2"}, want: "layup.refine.steps"},
	{name: "goal that is none", edit: []string{"steps = 2", "goal = \"beauty\""}, want: "layup.refine.goal|balance"},
	{name: "negative walls", edit: []string{"[layup]", "[layup]\nwalls = -1"}, want: "job.toml:39|layup.walls"},
	{name: "region without corners", edit: []string{`"steered"`, "\"drawn\"\npaths = [[[\"0 mm\", \"10 mm\"], [\"90 mm\", \"10 mm\"]]]\nwithin = [[\"0 mm\", \"0 mm\"], [\"9 mm\", \"0 mm\"]]"}, want: "layup.family[0].within|2 corners"},
	{name: "region that holds no path", edit: []string{`"steered"`, "\"drawn\"\npaths = [[[\"0 mm\", \"10 mm\"], [\"90 mm\", \"10 mm\"]]]\nwithin = [[\"0 mm\", \"0 mm\"], [\"30 mm\", \"0 mm\"], [\"30 mm\", \"15 mm\"]]"}, want: "layup.family[0].within|cutter's 45 mm"},
	{name: "region of a steered family", edit: []string{`"steered"`, "\"steered\"\nwithin = [[\"0 mm\", \"0 mm\"], [\"30 mm\", \"0 mm\"], [\"30 mm\", \"15 mm\"]]"}, want: "layup.family[0].within|steered"},
	{name: "order of an unknown family", edit: []string{"[layup]", "[layup]\norder = [\"steered\", \"rim\"]"}, want: "layup.order[1]|steered"},
	{name: "order of too few layers", edit: []string{"[layup]", "[layup]\norder = [\"steered\"]"}, want: "layup.order|1 times|2"},
	{name: "order beside a search", edit: []string{"[layup]", "[layup]\norder = [\"steered\", \"steered\"]", "[layup.refine]", "[layup.search]\n[layup.refine]"}, want: "layup.order|search"},
	{name: "stagger below nothing", edit: []string{"[layup]", "[layup]\nstagger = \"-1 mm\""}, want: "layup.stagger|8 mm"},
	{name: "turns at what is not there", edit: []string{"[layup]", "[layup]\nturn_at = [\"top\"]"}, want: "layup.turn_at[0]|top|left hole"},
	{name: "reach of turns that are nowhere", edit: []string{"[layup]", "[layup]\nturn_reach = \"20 mm\""}, want: "layup.turn_reach|turn_at"},
	{name: "reach of turns below nothing", edit: []string{"[layup]", "[layup]\nturn_at = [\"left hole\"]\nturn_reach = \"-2 mm\""}, want: "layup.turn_reach"},
	{name: "spacing under the bead's limit", edit: []string{`"1.2 mm"`, `"0.1 mm"`}, want: "job.toml:44|layup.family[0].spacing"},
	{name: "spacing over the bead's limit", edit: []string{`"1.2 mm"`, `"30 mm"`}, want: "job.toml:44|layup.family[0].spacing"},
	{name: "kind that is none", edit: []string{`"steered"`, `"woven"`}, want: "job.toml:42|layup.family[0].kind"},
	{name: "loop around nothing", edit: []string{`"steered"`, `"loop"`}, want: "layup.family[0].around"},
	{name: "loop around three holes", edit: []string{`"steered"`, "\"loop\"\naround = [\"left hole\", \"right hole\", \"left hole\"]"}, want: "job.toml:43|layup.family[0].around|3 holes"},
	{name: "loop around one hole twice", edit: []string{`"steered"`, "\"loop\"\naround = [\"left hole\", \"left hole\"]"}, want: "job.toml:43|layup.family[0].around"},
	{name: "loop around a side", edit: []string{`"steered"`, "\"loop\"\naround = [\"long side\"]", "[[support]]", "[[feature]]\nname = \"long side\"\nside = { near = [\"50 mm\", \"-15 mm\"] }\n[[support]]"}, want: "around|long side"},
	{name: "turns of a straight family", edit: []string{`"steered"`, "\"straight\"\nturns = 3"}, want: "job.toml:43|layup.family[0].turns"},
	{name: "drawn family without a path", edit: []string{`"steered"`, `"drawn"`}, want: "job.toml:41|layup.family[0]|no path"},
	{name: "paths of a steered family", edit: []string{`"steered"`, "\"steered\"\npaths = [[[\"0 mm\", \"10 mm\"], [\"90 mm\", \"10 mm\"]]]"}, want: "job.toml:43|layup.family[0].paths|steered"},
	{name: "path of one point", edit: []string{`"steered"`, "\"drawn\"\npaths = [[[\"0 mm\", \"10 mm\"]]]"}, want: "job.toml:43|layup.family[0].paths|1 points"},
	{name: "path point without a unit", edit: []string{`"steered"`, "\"drawn\"\npaths = [[[0, 10], [90, 10]]]"}, want: "job.toml:|paths"},
	{name: "path off the part", edit: []string{`"steered"`, "\"drawn\"\npaths = [[[\"0 mm\", \"300 mm\"], [\"90 mm\", \"300 mm\"]]]"}, want: "layup.family[0]|path 1|outside"},
	{name: "drawn strands that are not there", edit: []string{`"steered"`, "\"drawn\"\ndrawing = \"paths.svg\""}, want: "paths.svg|is not there"},
	{name: "drawn strands outside the folder", edit: []string{`"steered"`, "\"drawn\"\ndrawing = \"../paths.svg\""}, want: "job.toml:43|layup.family[0].drawing|outside"},
	{name: "drawn into nothing", edit: []string{"[mesh]", "[[layup.family]]\nkind = \"drawn\"\ninto = \"wings\"\npaths = [[[\"0 mm\", \"10 mm\"], [\"90 mm\", \"10 mm\"]]]\n[mesh]"}, want: "layup.family[1].into|wings"},
	{name: "drawn into layers of its own", edit: []string{"[mesh]", "[[layup.family]]\nkind = \"drawn\"\ninto = \"steered\"\nlayers = 2\npaths = [[[\"0 mm\", \"10 mm\"], [\"90 mm\", \"10 mm\"]]]\n[mesh]"}, want: "layup.family[1].layers|into"},
	{name: "tolerance over the whole", edit: []string{`"20 %"`, `"200 %"`}, want: "job.toml:48|mesh.tolerance"},
	{name: "part larger than the bed", edit: []string{`"steered"`, `"straight"`, `printer = "twin-nozzle"`, `printer = "small"`}, files: map[string]string{"cards/small.toml": stock.Text("printer/twin-nozzle", `id = "twin-nozzle"`, `id = "small"`, `"320 mm"`, `"90 mm"`)}, stop: "too-large", want: "130 × 30"},
}

// cyclicBlocks is a drawing of two blocks that hold each other.
func cyclicBlocks() string {
	block := func(name, holds string) string {
		return "0\nBLOCK\n8\n0\n2\n" + name + "\n70\n0\n10\n0\n20\n0\n0\nINSERT\n8\n0\n2\n" + holds + "\n10\n0\n20\n0\n0\nENDBLK\n8\n0\n"
	}
	return "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n" + block("A", "B") + block("B", "A") +
		"0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\n0\n2\nA\n10\n0\n20\n0\n0\nENDSEC\n0\nEOF\n"
}

func replaceOnce(text, old, instead string) string { return strings.Replace(text, old, instead, 1) }

// folder makes the folder of a bad job.
func (b *badInput) folder(t *testing.T) string {
	files := map[string]string{FileName: changed(t, b.edit...), sampleName: string(sampleDrawing)}
	if b.drawing != "" {
		files[sampleName] = b.drawing
	}
	for name, data := range b.files {
		files[name] = data
	}
	return writeFiles(t, files)
}

func TestBadInput(t *testing.T) {
	for _, b := range badInputs {
		t.Run(b.name, func(t *testing.T) {
			dir := b.folder(t)
			before := listing(t, dir)
			message := b.refused(t, dir)
			t.Log(message)
			for _, part := range strings.Split(b.want, "|") {
				if !strings.Contains(message, part) {
					t.Errorf("the message does not hold %q:\n%s", part, message)
				}
			}
			if after := listing(t, dir); after != before {
				t.Errorf("the folder was\n%sand is\n%s", before, after)
			}
		})
	}
}

// refused runs the job, holds the faults to their form and returns them as
// the user sees them.
func (b *badInput) refused(t *testing.T, dir string) string {
	j, err := Open(dir, Options{})
	if err == nil {
		var r *Results
		r, err = j.Run(context.Background(), b.upTo(), "check")
		j.Close()
		if err == nil {
			return b.stopped(t, r)
		}
	}
	var in *InputError
	if !errors.As(err, &in) || b.stop != "" {
		t.Fatalf("refused with %T: %v", err, err)
	}
	for _, f := range in.Faults {
		if f.File == "" {
			t.Errorf("fault without a file: %+v", f)
		}
		if f.Remedy == "" {
			t.Errorf("fault without a remedy: %s", f)
		}
	}
	return in.Error()
}

func (b *badInput) upTo() Stage {
	if b.stop != "" {
		return Check
	}
	return Lay
}

// stopped returns the finding that stops the part.
func (b *badInput) stopped(t *testing.T, r *Results) string {
	for _, f := range r.Record.Findings {
		if f.Severity == check.Stop.String() && f.ID == b.stop {
			if r.Record.Verdict.Passes || f.Remedy == "" {
				t.Errorf("verdict %+v, remedy %q", r.Record.Verdict, f.Remedy)
			}
			return f.What
		}
	}
	t.Fatalf("not refused; findings %+v", r.Record.Findings)
	return ""
}
