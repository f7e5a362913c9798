package job

import (
	"fmt"
	"math"

	"sinew/field"
	"sinew/geom"
	"sinew/part"
)

// PartView is the part as an editor draws it before anything is computed:
// outline, features and what can be picked, and what holds and loads it. What
// the job file's faults forbid is left out. Lengths mm, angles degrees.
type PartView struct {
	Faults      []Fault       `json:"faults" doc:"why something is missing here"`
	ThicknessMM float64       `json:"thickness_mm"`
	AreaMM2     float64       `json:"area_mm2"`
	Box         [4]float64    `json:"box_mm" doc:"least x, least y, greatest x, greatest y"`
	Notes       []string      `json:"notes" doc:"what was repaired or left out when the drawing was read"`
	Loops       []LoopView    `json:"loops" doc:"the outline first, then the holes"`
	Slabs       []SlabView    `json:"slabs" doc:"of a part whose outline changes with height: its outlines, bottom to top; empty: it does not"`
	Features    []FeatureView `json:"features"`
	Picks       []PickView    `json:"picks" doc:"every hole and edge, and the table that picks it as a feature"`
	Supports    []SupportView `json:"supports"`
	Cases       []CaseView    `json:"cases"`
	Probes      []ProbeView   `json:"probes"`
	Families    []FamilyView  `json:"families"`
	Stack       StackView     `json:"stack"`
	SpacingMM   [2]float64    `json:"spacing_mm" doc:"least and greatest distance of strands that the bead allows; 0 where not known"`
}

// SlabView is a stretch of height over which a part keeps its outline.
type SlabView struct {
	BottomMM float64        `json:"bottom_mm"`
	TopMM    float64        `json:"top_mm"`
	Loops    [][][2]float64 `json:"loops" doc:"outlines and holes, as polygons"`
}

// LoopView is one closed line.
type LoopView struct {
	Points  [][2]float64 `json:"points" doc:"as a polygon; the first point is not repeated"`
	AreaMM2 float64      `json:"area_mm2"`
	Edges   []EdgeView   `json:"edges"`
}

// EdgeView is one straight edge or arc of a loop.
type EdgeView struct {
	Kind     string      `json:"kind" enum:"line,arc"`
	A        [2]float64  `json:"a"`
	B        [2]float64  `json:"b"`
	Mid      [2]float64  `json:"mid"`
	RadiusMM float64     `json:"radius_mm,omitempty"`
	Center   *[2]float64 `json:"center,omitempty"`
	Layer    string      `json:"layer,omitempty" doc:"of the drawing"`
}

// FeatureView is a named piece of the boundary.
type FeatureView struct {
	Name       string  `json:"name"`
	Key        string  `json:"key,omitempty" doc:"of its table; empty for a hole that the job does not name"`
	Kind       string  `json:"kind" enum:"hole,side"`
	Loop       int     `json:"loop"`
	Edges      []int   `json:"edges"`
	X          float64 `json:"x_mm"`
	Y          float64 `json:"y_mm"`
	DiameterMM float64 `json:"diameter_mm" doc:"0: not round"`
	LengthMM   float64 `json:"length_mm"`
}

// PickView is a hole or an edge that could be named.
type PickView struct {
	Kind    string         `json:"kind" enum:"hole,side"`
	Loop    int            `json:"loop"`
	Edge    int            `json:"edge" doc:"-1 for a hole"`
	Feature string         `json:"feature,omitempty" doc:"that covers it already"`
	Table   map[string]any `json:"table" doc:"what picks it, for an insert into feature beside its name"`
}

// SupportView is a support with its place.
type SupportView struct {
	Key      string  `json:"key"`
	Feature  string  `json:"feature"`
	How      string  `json:"how"`
	AngleDeg float64 `json:"angle_deg"`
	X        float64 `json:"x_mm"`
	Y        float64 `json:"y_mm"`
}

// CaseView is a load case.
type CaseView struct {
	Key               string     `json:"key"`
	Name              string     `json:"name"`
	Factor            float64    `json:"factor"`
	Acceleration      [2]float64 `json:"acceleration_mm_s2"`
	TemperatureChange float64    `json:"temperature_change_K"`
	Loads             []LoadView `json:"loads"`
	// Points are forces on spots of the face.
	Points []PointLoadView `json:"points"`
}

// PointLoadView is a force on a spot of the face.
type PointLoadView struct {
	Key  string  `json:"key"`
	Size float64 `json:"size" doc:"N, towards +z"`
	X    float64 `json:"x_mm"`
	Y    float64 `json:"y_mm"`
}

// LoadView is a load with its place and direction.
type LoadView struct {
	Key      string  `json:"key"`
	Feature  string  `json:"feature"`
	How      string  `json:"how"`
	Size     float64 `json:"size"`
	Unit     string  `json:"unit" enum:"N,MPa"`
	AngleDeg float64 `json:"angle_deg"`
	FX       float64 `json:"fx" doc:"size along x; 0 for a pressure"`
	FY       float64 `json:"fy"`
	Out      float64 `json:"out" doc:"across the plane, towards +z, N"`
	X        float64 `json:"x_mm"`
	Y        float64 `json:"y_mm"`
}

// ProbeView is a probe with its place.
type ProbeView struct {
	Key      string  `json:"key"`
	Name     string  `json:"name"`
	Feature  string  `json:"feature,omitempty"`
	X        float64 `json:"x_mm"`
	Y        float64 `json:"y_mm"`
	AngleDeg float64 `json:"angle_deg"`
}

// FamilyView is a family of strands as the job asks for it.
type FamilyView struct {
	Key       string           `json:"key"`
	Name      string           `json:"name"`
	Kind      string           `json:"kind"`
	Layers    int              `json:"layers"`
	SpacingMM float64          `json:"spacing_mm"`
	AngleDeg  float64          `json:"angle_deg"`
	Paths     []FamilyPathView `json:"paths,omitempty" doc:"of a drawn family, those of its drawing included"`
	Given     int              `json:"given" doc:"how many of the paths, from the first, stand in the job file and can be edited there"`
}

// FamilyPathView is one drawn path.
type FamilyPathView struct {
	Closed bool         `json:"closed"`
	Points [][2]float64 `json:"points"`
}

// StackView is what the layers add up to.
type StackView struct {
	Bottom    int `json:"covers_bottom"`
	Top       int `json:"covers_top"`
	Composite int `json:"composite"`
	// Order is empty where a number of layers is beyond any part's.
	Order       []string `json:"order" doc:"family of each composite layer, bottom to top, as stated or by default"`
	HeightMM    float64  `json:"height_mm" doc:"of all layers; 0 where the printer is not known"`
	TargetMM    float64  `json:"target_mm" doc:"the part's thickness"`
	PlasticMM   float64  `json:"plastic_layer_mm"`
	CompositeMM float64  `json:"composite_layer_mm"`
}

// viewTolerance is how far the polygon of a loop may lie off its arcs, mm:
// below what a screen shows.
const viewTolerance = 0.02

// ViewPart draws what it can of the job in a text.
func ViewPart(dir string, text []byte, o Options) *PartView {
	v := &PartView{Faults: []Fault{}, Notes: []string{}, Loops: []LoopView{}, Slabs: []SlabView{}, Features: []FeatureView{}, Picks: []PickView{},
		Supports: []SupportView{}, Cases: []CaseView{}, Probes: []ProbeView{}, Families: []FamilyView{}}
	f, fl := decodeLenient(text)
	if f == nil {
		v.Faults = append(v.Faults, fl.faults...)
		return v
	}
	j := jobIn(dir, o)
	j.file, j.faults = f, &faultList{file: FileName, places: fl.places}
	in := &inputs{cardKeys: map[string]key{}}
	v.viewCards(j, in)
	v.viewFamilies(j, in)
	v.fault(v.viewOutline(j, in))
	if in.part != nil {
		v.viewActing(j, in.part)
		v.viewPaths(j, in)
	}
	return v
}

// fault keeps the faults of an error.
func (v *PartView) fault(err error) {
	if bad, ok := err.(*InputError); ok {
		v.Faults = append(v.Faults, bad.Faults...)
	} else if err != nil {
		v.Faults = append(v.Faults, Fault{File: FileName, What: err.Error()})
	}
}

// viewCards reads printer and bead for the stack and the spacing.
func (v *PartView) viewCards(j *Job, in *inputs) {
	if err := j.loadCards(in); err != nil {
		v.fault(err)
	}
	j.faults.faults = nil
	if in.law != nil {
		v.SpacingMM = [2]float64{1 / in.law.RhoMax(), 1 / in.law.RhoMin()}
	}
	c := j.file.Layup.Covers
	v.Stack = StackView{Bottom: c.Bottom, Top: c.Top, TargetMM: float64(j.file.Part.Thickness)}
	counts := make([]int, len(j.file.Layup.Families))
	for i, t := range j.file.Layup.Families {
		counts[i] = max(0, t.Layers)
		v.Stack.Composite += counts[i]
	}
	v.Stack.Order = []string{}
	if order := j.file.Layup.Order; order != nil {
		v.Stack.Order = order
	} else if v.Stack.Composite <= maxLayers {
		up, _ := field.StackUp(counts)
		for _, k := range up {
			v.Stack.Order = append(v.Stack.Order, j.file.Layup.Families[k].label())
		}
	}
	if p := in.printer; p != nil {
		v.Stack.PlasticMM, v.Stack.CompositeMM = p.PlasticHeight, p.CompositeHeight
		v.Stack.HeightMM = float64(c.Bottom+c.Top)*p.PlasticHeight + float64(v.Stack.Composite)*p.CompositeHeight
	}
}

// viewOutline reads the drawing and names its pieces.
func (v *PartView) viewOutline(j *Job, in *inputs) error {
	region, notes, err := j.readOutline(in)
	v.ThicknessMM = float64(j.file.Part.Thickness) // a solid settles it
	if err != nil {
		return err
	}
	v.Notes = append(v.Notes, notes...)
	b := region.Outer.Bounds()
	v.AreaMM2, v.Box = region.Area(), [4]float64{b.Min.X, b.Min.Y, b.Max.X, b.Max.Y}
	for _, l := range region.Loops() {
		v.Loops = append(v.Loops, loopView(l))
	}
	for _, s := range slabsOf(in.slabs) {
		v.Slabs = append(v.Slabs, slabView(s))
	}
	in.part = &part.Part{Name: j.file.Name, Region: region, Thickness: v.ThicknessMM}
	v.viewFeatures(j, in.part)
	v.viewPicks(in.part)
	return nil
}

func xy(p geom.Point) [2]float64 { return [2]float64{p.X, p.Y} }

func slabView(s part.Slab) SlabView {
	out := SlabView{BottomMM: s.Bottom, TopMM: s.Top, Loops: [][][2]float64{}}
	for _, r := range s.Regions {
		for _, l := range r.Loops() {
			out.Loops = append(out.Loops, polygon(l))
		}
	}
	return out
}

func polygon(l geom.Loop) [][2]float64 {
	var out [][2]float64
	for _, p := range l.Flatten(viewTolerance) {
		out = append(out, xy(p))
	}
	return out
}

func loopView(l geom.Loop) LoopView {
	out := LoopView{AreaMM2: math.Abs(l.Area()), Points: polygon(l)}
	for _, e := range l {
		ev := EdgeView{Kind: "line", A: xy(e.A), B: xy(e.B), Mid: xy(e.At(0.5)), Layer: e.Label}
		if e.IsArc() {
			c := xy(e.Center())
			ev.Kind, ev.RadiusMM, ev.Center = "arc", e.Radius(), &c
		}
		out.Edges = append(out.Edges, ev)
	}
	return out
}

// viewFeatures keeps the features whose picks fit.
func (v *PartView) viewFeatures(j *Job, p *part.Part) {
	var picks []part.Pick
	var keys []string
	for i, t := range j.file.Features {
		if t.Hole == nil && t.Side == nil {
			continue
		}
		picks = append(picks, pickOf(t))
		keys = append(keys, fmt.Sprintf("feature[%d]", i))
	}
	features, errs := part.Features(p.Region, picks)
	for i, f := range features {
		if i < len(errs) && errs[i] != nil {
			what, remedy, _ := cutRemedy(errs[i].Error())
			j.faults.add(keys[i], what, remedy)
			continue
		}
		r := featureRecord(p, f)
		fv := FeatureView{Name: r.Name, Kind: r.Kind, Loop: f.Loop, Edges: f.Edges, X: r.X, Y: r.Y, DiameterMM: r.DiameterMM, LengthMM: r.LengthMM}
		if i < len(keys) {
			fv.Key = keys[i]
		}
		if f.Kind == part.Side {
			m := middleOf(p.Region, f)
			fv.X, fv.Y = m.X, m.Y
		}
		p.Features = append(p.Features, f)
		v.Features = append(v.Features, fv)
	}
	v.Faults = append(v.Faults, j.faults.faults...)
	j.faults.faults = nil
}

// middleOf returns the middle of a side along its length.
func middleOf(r geom.Region, f part.Feature) geom.Point {
	l := r.Loops()[f.Loop]
	total := 0.0
	for _, e := range f.Edges {
		total += l[e].Length()
	}
	for _, e := range f.Edges {
		if n := l[e].Length(); total/2 <= n || e == f.Edges[len(f.Edges)-1] {
			return l[e].At(math.Min(1, total/2/n))
		} else {
			total -= 2 * n
		}
	}
	return f.Center
}

// pickDecimals: places of a pick are written to a thousandth of a mm.
const pickDecimals = 1e3

// viewPicks offers every hole, and every edge of the outline and of holes that
// are not round.
func (v *PartView) viewPicks(p *part.Part) {
	named := func(loop, edge int) string {
		for _, f := range p.Features {
			for _, e := range f.Edges {
				if f.Loop == loop && (edge < 0 && f.Kind == part.Hole || edge == e && f.Kind == part.Side) {
					return f.Name
				}
			}
		}
		return ""
	}
	for n, l := range p.Region.Loops() {
		_, diameter, round := part.RoundHole(l)
		if n > 0 {
			at := l.Bounds().Middle()
			table := map[string]any{"near": pickPlace(at)}
			if round {
				table["diameter"] = plainNumber(diameter) + " mm"
			}
			v.Picks = append(v.Picks, PickView{Kind: "hole", Loop: n, Edge: -1, Feature: named(n, -1), Table: map[string]any{"hole": table}})
		}
		if n > 0 && round {
			continue
		}
		for i, e := range l {
			table := map[string]any{"near": pickPlace(e.At(0.5))}
			v.Picks = append(v.Picks, PickView{Kind: "side", Loop: n, Edge: i, Feature: named(n, i), Table: map[string]any{"side": table}})
		}
	}
}

func pickPlace(p geom.Point) []any {
	round := func(c float64) string { return plainNumber(math.Round(c*pickDecimals)/pickDecimals) + " mm" }
	return []any{round(p.X), round(p.Y)}
}

// viewActing places what holds and loads the part; whatever names no feature
// is left out.
func (v *PartView) viewActing(j *Job, p *part.Part) {
	index := map[string]int{}
	for i, f := range v.Features {
		index[f.Name] = i
	}
	for i, t := range j.file.Supports {
		if n, ok := index[t.At]; ok {
			v.Supports = append(v.Supports, SupportView{Key: fmt.Sprintf("support[%d]", i), Feature: t.At, How: t.How, AngleDeg: degrees(float64(t.Angle)), X: v.Features[n].X, Y: v.Features[n].Y})
		}
	}
	for i, t := range j.file.Cases {
		key := fmt.Sprintf("case[%d]", i)
		c := CaseView{Key: key, Name: t.Name, Factor: factorOf(t), TemperatureChange: float64(t.TemperatureChange), Loads: []LoadView{}, Points: []PointLoadView{},
			Acceleration: [2]float64{float64(t.Acceleration[0]), float64(t.Acceleration[1])}}
		for k, l := range t.Loads {
			if n, ok := index[l.At]; ok {
				c.Loads = append(c.Loads, loadView(fmt.Sprintf("%s.load[%d]", key, k), l, &v.Features[n]))
			}
		}
		for k, p := range t.Points {
			c.Points = append(c.Points, PointLoadView{fmt.Sprintf("%s.point[%d]", key, k), float64(p.Force), float64(p.At[0]), float64(p.At[1])})
		}
		v.Cases = append(v.Cases, c)
	}
	for i, t := range j.file.Probes {
		q := ProbeView{Key: fmt.Sprintf("probe[%d]", i), Name: t.Name, Feature: t.At, AngleDeg: degrees(float64(t.Angle))}
		n, ok := index[t.At]
		switch {
		case ok:
			q.X, q.Y = v.Features[n].X, v.Features[n].Y
		case t.Point != nil:
			q.X, q.Y = float64(t.Point[0]), float64(t.Point[1])
		default:
			continue
		}
		v.Probes = append(v.Probes, q)
	}
}

func loadView(key string, t LoadTable, f *FeatureView) LoadView {
	l := LoadView{Key: key, Feature: t.At, How: t.How, Size: float64(t.Force), Unit: "N", Out: float64(t.Out), AngleDeg: degrees(float64(t.Angle)), X: f.X, Y: f.Y}
	if t.How == "traction" || t.How == "pressure" {
		l.Size, l.Unit = float64(t.Stress), "MPa"
	}
	if t.How != "pressure" {
		sin, cos := math.Sincos(float64(t.Angle))
		l.FX, l.FY = l.Size*cos, l.Size*sin
	}
	return l
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }

// viewFamilies lists the families as asked for.
func (v *PartView) viewFamilies(j *Job, in *inputs) {
	for i, t := range j.file.Layup.Families {
		f := FamilyView{Key: fmt.Sprintf("layup.family[%d]", i), Name: t.Name, Kind: t.Kind, Layers: t.Layers, SpacingMM: float64(t.Spacing), AngleDeg: degrees(float64(t.Angle)), Given: len(t.Paths)}
		if f.Name == "" {
			f.Name = t.Kind
		}
		if f.SpacingMM == 0 {
			f.SpacingMM = defaultSpacing
			if in.printer != nil {
				f.SpacingMM = in.spacing()
			}
		}
		v.Families = append(v.Families, f)
	}
}

// viewPaths reads the paths of drawn families.
func (v *PartView) viewPaths(j *Job, in *inputs) {
	if err := j.loadPaths(in); err != nil {
		v.fault(err)
	}
	j.faults.faults = nil
	for i := range v.Families {
		if i >= len(in.paths) {
			return
		}
		for _, p := range in.paths[i] {
			out := FamilyPathView{Closed: p.Closed}
			for _, q := range p.Points {
				out.Points = append(out.Points, xy(q))
			}
			v.Families[i].Paths = append(v.Families[i].Paths, out)
		}
	}
}
