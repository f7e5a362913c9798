package study

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sinew/job"
)

func testJob(t *testing.T) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "tie", job.FileName))
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// minimal is a study file that faults are written into.
const minimal = `schema = "sinew-study/1"
[[vary]]
key = "layup.family[0].spacing"
values = ["0.8 mm", "1 mm"]
[[aim]]
figure = "reserve"
want = "greatest"
`

// TestStudyFileFaults: each fault names file, line and key, and says what to do.
func TestStudyFileFaults(t *testing.T) {
	for _, row := range []struct{ name, old, new, want string }{
		{"other rules", "sinew-study/1", "sinew-study/9", `study.toml:1:1: schema: is "sinew-study/9"; write`},
		{"unknown key", "want =", "wants =", "study.toml:7:1: aim.wants: unknown key; see docs/format/study.md"},
		{"letters", "figure =", "Figure =", "study.toml:6:1: aim[0].Figure: unknown key; write \"figure\""},
		{"unknown job key", "family[0].spacing", "family[0].spacng", "study.toml:3:1: vary[0].key: a job file has no key layup.family[0].spacng"},
		{"no such family", "family[0].spacing", "family[3].spacing", "study.toml:2:3: vary[0]: layup.family[3].spacing cannot be set: there is no layup.family[3]"},
		{"same key twice", "[[aim]]", "[[vary]]\nkey = \"layup.family[0].spacing\"\nvalues = [1]\n[[aim]]", "study.toml:6:1: vary[1].key: layup.family[0].spacing is given twice"},
		{"no key", `key = "layup.family[0].spacing"`, "", "study.toml:2:3: vary[0].key: a variable has a key"},
		{"keys without rows", `key = "layup.family[0].spacing"`, `keys = ["layup.family[0].spacing", "part.thickness"]`, "study.toml:4:1: vary[0].values: 0.8 mm is not one value for each of 2 keys"},
		{"no values", `values = ["0.8 mm", "1 mm"]`, "", "study.toml:2:3: vary[0].from: a variable needs values"},
		{"values and span", `values = ["0.8 mm", "1 mm"]`, "values = [1]\ncount = 3", "study.toml:4:1: vary[0].values: does not go with"},
		{"two units", `values = ["0.8 mm", "1 mm"]`, "from = \"0.8 mm\"\nto = \"1 cm\"", `study.toml:5:1: vary[0].to: is in "cm", from is in "mm"`},
		{"backwards", `values = ["0.8 mm", "1 mm"]`, "from = 2.0\nto = 1.0\ncount = 2", "study.toml:5:1: vary[0].to: does not lie above from"},
		{"no count", `values = ["0.8 mm", "1 mm"]`, "from = \"0.8 mm\"\nto = \"1 mm\"", "study.toml:2:3: vary[0].count: is missing"},
		{"broken whole numbers", `values = ["0.8 mm", "1 mm"]`, "from = 2\nto = 9\ncount = 3", "study.toml:6:1: vary[0].count: 3 values from 2 to 9 are no whole numbers"},
		{"not a number", `values = ["0.8 mm", "1 mm"]`, "from = nan\nto = 9.0\ncount = 3", "study.toml:4:1: vary[0].from: a variable needs values"},
		{"no aim", "[[aim]]\nfigure = \"reserve\"\nwant = \"greatest\"\n", "", "study.toml: aim: there are 0 aims"},
		{"no variable", "[[vary]]\nkey = \"layup.family[0].spacing\"\nvalues = [\"0.8 mm\", \"1 mm\"]\n", "", "study.toml: vary: there are 0 variables"},
		{"unknown figure", `"reserve"`, `"beauty"`, `study.toml:6:1: aim[0].figure: there is no figure "beauty"`},
		{"unknown wish", `"greatest"`, `"nicest"`, `study.toml:7:1: aim[0].want: is "nicest"`},
		{"unknown case", "want =", "case = \"twist\"\nwant =", `study.toml:7:1: aim[0].case: the job has no case "twist"`},
		{"unknown mode", "want =", "mode = \"rust\"\nwant =", `study.toml:7:1: aim[0].mode: there is no mode "rust"`},
		{"mode of mass", `figure = "reserve"`, "figure = \"mass\"\nmode = \"matrix\"", "study.toml:7:1: aim[0].mode: does not go with mass"},
		{"unknown probe", `figure = "reserve"`, "figure = \"displacement\"\nprobe = \"nose\"", `study.toml:7:1: aim[0].probe: the job has no probe "nose"`},
		{"too early", `figure = "reserve"`, `figure = "cost"`, `study.toml:6:1: aim[0].figure: cost is not known that early; write stage = "post"`},
		{"no buckling", `figure = "reserve"`, `figure = "buckling"`, "study.toml:6:1: aim[0].figure: the job asks for no buckling factors"},
		{"aim twice", "[[aim]]", "[[aim]]\nfigure = \"reserve\"\nwant = \"least\"\n[[aim]]", "study.toml:8:3: aim[1]: is an aim already"},
		{"empty limit", "[[aim]]", "[[limit]]\nfigure = \"mass\"\n[[aim]]", "study.toml:5:3: limit[0]: has no bound"},
		{"limit without unit", "[[aim]]", "[[limit]]\nfigure = \"mass\"\nmost = 40\n[[aim]]", "study.toml:7:1: limit[0].most: 40 has no unit"},
		{"limit in another unit", "[[aim]]", "[[limit]]\nfigure = \"mass\"\nmost = \"40 N\"\n[[aim]]", "study.toml:7:1: limit[0].most: "},
		{"limit that is no number", "[[aim]]", "[[limit]]\nfigure = \"cuts\"\nmost = \"few\"\n[[aim]]", "study.toml:7:1: limit[0].most: few is no plain number"},
		{"bound twice", "[[aim]]", "[[limit]]\nfigure = \"cuts\"\nmost = 3\n[[limit]]\nfigure = \"cuts\"\nmost = 4\n[[aim]]", "study.toml:10:1: limit[1].most: is given twice"},
		{"seed of a grid", "[[vary]]", "[sample]\nseed = 3\n[[vary]]", "study.toml:3:1: sample.seed: goes with spread only"},
		{"spread without points", "[[vary]]", "[sample]\nhow = \"spread\"\n[[vary]]", "study.toml:2:2: sample.points: is 0"},
		{"unknown sampling", "[[vary]]", "[sample]\nhow = \"dice\"\n[[vary]]", `study.toml:3:1: sample.how: is "dice"`},
		{"unknown stage", "[[vary]]", "stage = \"sell\"\n[[vary]]", `study.toml:2:1: stage: is "sell"`},
		{"too many", `values = ["0.8 mm", "1 mm"]`, "from = 1\nto = 4000\n[[vary]]\nkey = \"layup.family[0].layers\"\nfrom = 1\nto = 9", "study.toml: vary: every combination is more than 5000 points"},
		{"set without value", "[[vary]]", "[[set]]\nkey = \"layup.walls\"\n[[vary]]", "study.toml:2:3: set[0].value: is missing"},
	} {
		text := strings.Replace(minimal, row.old, row.new, 1)
		if text == minimal {
			t.Fatalf("%s: nothing was changed", row.name)
		}
		_, err := readPlan([]byte(text), testJob(t))
		var input *job.InputError
		if !errors.As(err, &input) {
			t.Errorf("%s: %v", row.name, err)
			continue
		}
		i := slices.IndexFunc(input.Faults, func(f job.Fault) bool { return strings.HasPrefix(f.String(), row.want) })
		if i < 0 {
			t.Errorf("%s: %v; want %s", row.name, err, row.want)
		} else if input.Faults[i].Remedy == "" {
			t.Errorf("%s: no remedy", row.name)
		}
	}
	if _, err := readPlan([]byte(minimal), testJob(t)); err != nil {
		t.Errorf("the minimal study: %v", err)
	}
}

// TestExample: the study that ships is read, and the job takes every point of it.
func TestExample(t *testing.T) {
	dir := filepath.Join("..", "examples", "hanger")
	base, err := os.ReadFile(filepath.Join(dir, job.FileName))
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(dir, FileName))
	if err != nil {
		t.Fatal(err)
	}
	p, err := readPlan(text, base)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.points) != 8 {
		t.Errorf("%d points", len(p.points))
	}
	for i, pt := range p.points {
		if f := job.Inspect(dir, pt.text, job.Options{}).Faults; len(f) > 0 {
			t.Errorf("point %d: %v", i+1, f)
		}
	}
}

// FuzzStudyFile: whatever the text, a study is read or refused.
func FuzzStudyFile(f *testing.F) {
	f.Add([]byte(minimal))
	tie, err := os.ReadFile(filepath.Join("testdata", "tie", FileName))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(tie)
	f.Add([]byte(strings.Replace(minimal, `values = ["0.8 mm", "1 mm"]`, "from = 1e300\nto = 2e300\ncount = 3", 1)))
	f.Add([]byte(strings.Replace(minimal, `values = ["0.8 mm", "1 mm"]`, "values = [[], {a = 1}, 2020-01-01]", 1)))
	base, err := os.ReadFile(filepath.Join("testdata", "tie", job.FileName))
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var input *job.InputError
		if _, err := readPlan(text, base); err != nil && !errors.As(err, &input) {
			t.Errorf("not a fault of the input: %v", err)
		}
	})
}

// TestSpans: values from first to last are written as a person would.
func TestSpans(t *testing.T) {
	for _, row := range []struct{ span, want string }{
		{"from = \"0.8 mm\"\nto = \"1.4 mm\"\ncount = 4", "0.8 mm; 1 mm; 1.2 mm; 1.4 mm"},
		{"from = 2\nto = 5", "2; 3; 4; 5"},
		{"from = 2\nto = 8\ncount = 3", "2; 5; 8"},
		{"from = 0.1\nto = 0.3\ncount = 3", "0.1; 0.2; 0.3"},
		{"from = \"-45 °\"\nto = \"45 °\"\ncount = 3", "-45 °; 0 °; 45 °"},
		{"from = \"1e3 mm\"\nto = \"2e3 mm\"\ncount = 2", "1000 mm; 2000 mm"},
	} {
		p, err := readPlan([]byte(strings.Replace(minimal, `values = ["0.8 mm", "1 mm"]`, row.span, 1)), testJob(t))
		if err != nil {
			t.Errorf("%s: %v", row.span, err)
			continue
		}
		if got := strings.Join(p.vars[0].record().Values, "; "); got != row.want {
			t.Errorf("%s: %s, want %s", row.span, got, row.want)
		}
	}
}

// TestOrderOfPoints: the last variable changes fastest, and each point's job file
// holds its values with comments kept.
func TestOrderOfPoints(t *testing.T) {
	text := strings.Replace(minimal, "[[aim]]", "[[vary]]\nkey = \"layup.family[0].layers\"\nvalues = [1, 2, 3]\n[[set]]\nkey = \"layup.walls\"\nvalue = 1\n[[aim]]", 1)
	p, err := readPlan([]byte(text), testJob(t))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, pt := range p.points {
		f, err := job.Decode(pt.text, job.FileName)
		if err != nil {
			t.Fatal(err)
		}
		y := f.Layup.Families[0]
		got = append(got, fmt.Sprintf("%g/%d/%d", float64(y.Spacing), y.Layers, *f.Layup.Walls))
		if !strings.HasPrefix(string(pt.text), "# A strip of straight strands") {
			t.Error("the comment is gone")
		}
	}
	if want := "0.8/1/1 0.8/2/1 0.8/3/1 1/1/1 1/2/1 1/3/1"; strings.Join(got, " ") != want {
		t.Errorf("points %v, want %s", got, want)
	}
}

// discrepancy is the greatest difference between the share of points in a box at
// the origin and the box's area, over a raster of boxes.
func discrepancy(points [][2]float64) float64 {
	const raster = 64
	worst := 0.0
	for a := 1; a <= raster; a++ {
		for b := 1; b <= raster; b++ {
			x, y, in := float64(a)/raster, float64(b)/raster, 0
			for _, p := range points {
				if p[0] < x && p[1] < y {
					in++
				}
			}
			worst = max(worst, math.Abs(x*y-float64(in)/float64(len(points))))
		}
	}
	return worst
}

// TestSpreadIsEven: for every seed the points fill the square at least twice as
// evenly as the best of as many sets drawn by chance.
func TestSpreadIsEven(t *testing.T) {
	const n, sets = 256, 5
	rng := rand.New(rand.NewPCG(5, 6))
	chance, ours := math.Inf(1), 0.0
	for seed := range sets {
		var even, drawn [][2]float64
		for i := range n {
			even = append(even, [2]float64{spread(i, 0, seed), spread(i, 1, seed)})
			drawn = append(drawn, [2]float64{rng.Float64(), rng.Float64()})
		}
		chance, ours = min(chance, discrepancy(drawn)), max(ours, discrepancy(even))
	}
	if 2*ours > chance {
		t.Errorf("discrepancy %g, by chance %g", ours, chance)
	}
	// Digits mirrored at the point, by hand: 1, 2, 3, 6 in base 2 and 1, 2, 3, 5 in base 3.
	for _, row := range []struct {
		n, base int
		want    float64
	}{{1, 2, 0.5}, {2, 2, 0.25}, {3, 2, 0.75}, {6, 2, 0.375}, {1, 3, 1. / 3}, {2, 3, 2. / 3}, {3, 3, 1. / 9}, {5, 3, 7. / 9}} {
		if got := radicalInverse(row.n, row.base); got < row.want-1e-15 || got > row.want+1e-15 {
			t.Errorf("%d in base %d: %g, want %g", row.n, row.base, got, row.want)
		}
	}
}

// TestDrawnValues: levels are drawn about equally often, spans within their ends,
// and a seed gives the same points again.
func TestDrawnValues(t *testing.T) {
	text := strings.Replace(minimal, `values = ["0.8 mm", "1 mm"]`, "from = \"0.8 mm\"\nto = \"1.4 mm\"", 1)
	text = strings.Replace(text, "[[aim]]", "[[vary]]\nkey = \"layup.family[0].layers\"\nfrom = 2\nto = 5\n[sample]\nhow = \"spread\"\npoints = 60\nseed = 7\n[[aim]]", 1)
	draw := func(text string) []string {
		p, err := readPlan([]byte(text), testJob(t))
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		levels := map[int]int{}
		for _, pt := range p.points {
			s := pt.values[0].String()
			if s < "0.8 mm" || s > "1.4 mm" || len(s) > len("0.8765 mm") {
				t.Errorf("drew %s", s)
			}
			levels[pt.values[1].level]++
			out = append(out, s+" "+pt.values[1].String())
		}
		for l := range 4 {
			if levels[l] < 13 || levels[l] > 17 { // of 60, four levels: 15 each
				t.Errorf("level %d drawn %d times of 60", l, levels[l])
			}
		}
		return out
	}
	first := draw(text)
	if !slices.Equal(first, draw(text)) {
		t.Error("the same seed gave other points")
	}
	if slices.Equal(first, draw(strings.Replace(text, "seed = 7", "seed = 8", 1))) {
		t.Error("another seed gave the same points")
	}
}
