package job

import (
	"context"
	"fmt"
	"math"
	"strings"

	"sinew/proof"
)

// ShapeKind is a way in which the part as printed stands as a plate: a field of
// displacements to look at.
type ShapeKind struct {
	ID    string  `json:"id"`
	Title string  `json:"title"`
	Case  int     `json:"case" doc:"index of the load case; -1: of none"`
	Value float64 `json:"value" doc:"factor on the required load of buckling, frequency; 0 of what is no mode"`
	Unit  string  `json:"unit" doc:"of the value"`
}

// Names of the shapes; modes are numbered from 1 behind a dot.
const (
	shapeDeflected = "deflected"
	shapeBuckled   = "buckled"
	shapeSwinging  = "swinging"
	shapeWarped    = "warped"
)

// shapeKinds lists what there is: what the proof was asked of the print as a
// plate.
func (v *Views) shapeKinds() []ShapeKind {
	out := []ShapeKind{}
	if v.proof == nil || v.proof.Plate == nil {
		return out
	}
	p := v.proof.Plate
	for i, c := range p.Cases {
		out = append(out, ShapeKind{shapeDeflected, "bent under " + c.Case, i, 0, ""})
		for k, f := range c.Buckling {
			out = append(out, ShapeKind{fmt.Sprintf("%s.%d", shapeBuckled, k+1), fmt.Sprintf("buckling %d under %s", k+1, c.Case), i, f, "required load"})
		}
	}
	for k, f := range p.FrequenciesHz {
		out = append(out, ShapeKind{fmt.Sprintf("%s.%d", shapeSwinging, k+1), fmt.Sprintf("vibration %d", k+1), -1, f, "Hz"})
	}
	if p.Warp != nil {
		out = append(out, ShapeKind{shapeWarped, "warp off the bed", -1, 0, ""})
	}
	return out
}

// Shape returns how far each node moves along x, y and z in a shape: mm, or of a
// mode in shares of its greatest.
func (v *Views) Shape(ctx context.Context, id string, c int) (*Arrays, error) {
	for _, k := range v.shapeKinds() {
		if k.ID == id && (k.Case < 0 || k.Case == c) {
			return v.shape(ctx, k)
		}
	}
	return nil, noView("there is no shape %q under case %d", id, c)
}

func (v *Views) shape(ctx context.Context, k ShapeKind) (*Arrays, error) {
	x, err := v.examine(ctx, 0)
	if err != nil {
		return nil, err
	}
	name, number, isMode := strings.Cut(k.ID, ".")
	kind := map[string]proof.ShapeKind{shapeDeflected: proof.Deflected, shapeBuckled: proof.Buckled, shapeSwinging: proof.Swinging, shapeWarped: proof.Warped}[name]
	list, err := x.Shapes(kind, k.Case)
	if err != nil {
		return nil, err
	}
	i := 1
	if isMode {
		fmt.Sscan(number, &i) // it was written by shapeKinds
	}
	if i > len(list) {
		return nil, fmt.Errorf("%s is not among the %d modes found again", k.ID, len(list))
	}
	a := &Arrays{Kind: "shape", Meta: map[string]any{"id": k.ID, "title": k.Title, "value": k.Value, "value_unit": k.Unit, "unit": "mm"}}
	if isMode {
		a.Meta["unit"] = ""
	}
	u := make([]float32, 0, 3*len(list[i-1].U))
	greatest, lo, hi := 0.0, math.Inf(1), math.Inf(-1)
	for _, m := range list[i-1].U {
		u = append(u, float32(m[0]), float32(m[1]), float32(m[2]))
		greatest = math.Max(greatest, math.Sqrt(m[0]*m[0]+m[1]*m[1]+m[2]*m[2]))
		lo, hi = math.Min(lo, m[2]), math.Max(hi, m[2])
	}
	a.Meta["greatest"], a.Meta["lo"], a.Meta["hi"] = greatest, lo, hi
	a.floats("u", 3, u)
	return a, nil
}
