package job

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"sinew/field"
	"sinew/stress"
)

// MixRecord is what a search for the layer mix found.
type MixRecord struct {
	Goal       string            `json:"goal"`
	Tried      int               `json:"tried" jsonschema_description:"mixes analysed"`
	Families   []MixFamilyRecord `json:"families" jsonschema_description:"those that hold layers"`
	Candidates []string          `json:"candidates" jsonschema_description:"families that could take layers"`
	Left       []string          `json:"left_out,omitempty" jsonschema_description:"families of which hardly a strand reaches the cutter's length"`
	// Governing says what fails first, as the search saw it.
	Governing string           `json:"governing" jsonschema_description:"mode that fails first, as the search saw it: before the fields were fitted to the mix"`
	Reserve   float64          `json:"reserve"`
	Start     float64          `json:"objective_at_start" jsonschema_description:"of the families as given"`
	Steps     []MixStepRecord  `json:"steps" jsonschema_description:"exchanges that helped, in order"`
	Best      []MixTrialRecord `json:"best" jsonschema_description:"the best mixes analysed, that found first"`
	Order     *OrderRecord     `json:"order,omitempty" jsonschema_description:"of layers, where the part bends or may buckle; left out: symmetric, each family spread over the thickness"`
}

// MixFamilyRecord is one family of the mix.
type MixFamilyRecord struct {
	Family string `json:"family"`
	Layers int    `json:"layers"`
	Start  int    `json:"layers_at_start"`
}

// FamilyLayersRecord is how many layers hold a family.
type FamilyLayersRecord struct {
	Family string `json:"family"`
	Layers int    `json:"layers"`
}

// MixTrialRecord is a mix that was analysed.
type MixTrialRecord struct {
	Layers    []FamilyLayersRecord `json:"layers"`
	Objective float64              `json:"objective"`
	Reserve   float64              `json:"reserve"`
	Governing string               `json:"governing"`
}

// MixStepRecord is one exchange of layers.
type MixStepRecord struct {
	From      []string `json:"from"`
	To        []string `json:"to"`
	Objective float64  `json:"objective"`
	Reserve   float64  `json:"reserve"`
	Governing string   `json:"governing"`
}

// searchShare is how much of the lay stage's progress a search takes.
const searchShare = 0.6

// findMix searches the layer mix where the job asks for it, and sets the
// families that it found in the settings.
func (j *Job) findMix(ctx context.Context, in field.Input, set *field.Settings, sys *stress.System, m meshed, out *laid, state resumed, next *resumed) error {
	t := j.file.Layup.Search
	if t == nil {
		return nil
	}
	if t.Goal == "layers" && j.file.Part.Solid != "" {
		j.faults.add("layup.search.goal", "asks for a thinner part, but a solid has its height", "search for reserve or stiffness, or give a drawing")
		return j.faults.err()
	}
	given := len(set.Families)
	s := *set
	s.Families = append(slices.Clone(set.Families), j.candidates(m)...)
	s.Draw = j.drawer(sys, j.in.part)
	plan := set.Progress
	s.Progress = func(what string, share float64) { plan(what, searchShare*share) }
	set.Progress = func(what string, share float64) { plan(what, searchShare+(1-searchShare)*share) }
	mix := field.MixSettings{
		Goal:      map[string]field.MixGoal{"": field.BestReserve, "reserve": field.BestReserve, "stiffness": field.BestStiffness, "layers": field.FewestLayers, "tow": field.LeastTow, "ratio": field.BestRatio}[t.Goal],
		NeedFibre: j.required(""), NeedMatrix: j.required("matrix"), Unsymmetric: t.Unsymmetric, Resume: state.Tried, Keep: make([]bool, len(s.Families)),
	}
	for i := range given {
		f := &j.file.Layup.Families[i]
		mix.Keep[i] = f.Lock || f.Into != ""
	}
	if err := j.limitTow(in, &s, &mix); err != nil {
		return err
	}
	found, err := field.FindMix(ctx, in, s, mix)
	if err != nil {
		return err
	}
	next.Tried, next.Mixed = found.All, !found.Stopped
	out.Mix = mixRecord(t.Goal, s.Families, found)
	out.Notes = append(out.Notes, out.Mix.note())
	set.Families = chosen(s.Families, found.Layers)
	if t.Goal == "layers" {
		out.Thickness = j.coverHeight() + float64(layersIn(set.Families))*j.in.law.Height()
		j.in.part.SetThickness(out.Thickness)
		out.Notes = append(out.Notes, fmt.Sprintf("the part is %.4g mm thick instead of %.4g mm", out.Thickness, float64(j.file.Part.Thickness)))
	}
	return nil
}

// candidates lists families that may enter.
func (j *Job) candidates(m meshed) []field.Request {
	t := j.file.Layup.Search
	may := func(kind string) bool { return len(t.Candidates) == 0 || slices.Contains(t.Candidates, kind) }
	s := field.CandidateSettings{Loops: may("loops"), Rim: may("rim"), Plain: may("plain"), Spacing: math.Max(defaultSpacing, j.in.printer.SpacingMin)}
	// A steered family for all cases that the job has already is not offered
	// twice.
	s.Steered = may("steered") && (len(j.in.part.Cases) > 1 || !slices.ContainsFunc(j.file.Layup.Families, func(f FamilyTable) bool { return f.Kind == "steered" }))
	if may("straight") {
		for _, a := range t.Angles {
			s.Angles = append(s.Angles, float64(a))
		}
		if len(t.Angles) == 0 {
			main := mixRounding * math.Round(mainDirection(m.Reference)/mixRounding)
			for _, d := range []float64{0, 90, 45, -45, 30, -30} {
				s.Angles = append(s.Angles, main+d*math.Pi/180)
			}
		}
	}
	return field.Candidates(j.in.part, s)
}

// mixRounding, rad: the main direction is taken to 5°, so that a part that is
// symmetric but for its mesh or its loads gets pairs that mirror each other.
const mixRounding = 5 * math.Pi / 180

// limitTow widens the spacing of families that are not locked until the tow
// asked for is within what is allowed.
func (j *Job) limitTow(in field.Input, s *field.Settings, mix *field.MixSettings) error {
	limit, err := j.towLimit(in, s)
	if err != nil || limit == 0 {
		return err
	}
	mix.Tow = limit
	area := in.Region.Area()
	held, free := 0.0, 0.0
	for i, r := range s.Families {
		if r.Kind == field.Plain {
			continue
		}
		n := area / r.Spacing * float64(r.Layers)
		if mix.Keep[i] {
			held += n
		} else {
			free += n
		}
	}
	if held+free <= limit || free == 0 {
		return nil
	}
	by := free / math.Max(limit-held, free*minSpread)
	for i := range s.Families {
		if !mix.Keep[i] && s.Families[i].Kind != field.Plain {
			s.Families[i].Spacing = math.Min(s.Families[i].Spacing*by, 1/j.in.law.RhoMin())
		}
	}
	return nil
}

// minSpread keeps the widening of a spacing finite; the printer's greatest
// spacing bounds it anyway.
const minSpread = 1e-3

// towLimit is the greatest length of tow, mm; 0: none. A price buys what is
// left of it when all is plastic, each millimetre of tow taking the place of
// some plastic.
func (j *Job) towLimit(in field.Input, s *field.Settings) (float64, error) {
	t := j.file.Layup.Search
	limit := float64(t.Tow)
	if t.Price == 0 {
		return limit, nil
	}
	tow, kilo := j.in.law.Tow(), j.in.plastic.PricePerKilo
	volume := j.in.part.Region.Area() * (j.coverVolume() + float64(layersIn(s.Families))*j.in.law.Height())
	base := volume * j.in.plastic.Density * kilo / 1000
	each := tow.Price() - tow.Area*j.in.plastic.Density*kilo/1000
	if t.Price <= base || each <= 0 {
		j.faults.add("layup.search.price", fmt.Sprintf("%g does not buy the plastic of the part, %.4g", t.Price, base), "allow more")
		return 0, j.faults.err()
	}
	if l := (t.Price - base) / each; limit == 0 || l < limit {
		limit = l
	}
	return limit, nil
}

func layersIn(families []field.Request) int {
	n := 0
	for _, r := range families {
		n += r.Layers
	}
	return n
}

// chosen leaves the families that hold layers, or lie in others'.
func chosen(families []field.Request, layers []int) []field.Request {
	var out []field.Request
	for k, r := range families {
		if r.Layers = layers[k]; r.Layers > 0 || r.Into != "" {
			out = append(out, r)
		}
	}
	return out
}

func mixRecord(goal string, families []field.Request, m *field.Mix) *MixRecord {
	if goal == "" {
		goal = "reserve"
	}
	r := &MixRecord{Goal: goal, Tried: m.Tried, Reserve: finiteOr(m.Reserve(), maxReserve), Governing: m.Score.Governing(), Start: m.First, Families: []MixFamilyRecord{}, Steps: []MixStepRecord{}}
	for k, n := range m.Layers {
		if n > 0 {
			r.Families = append(r.Families, MixFamilyRecord{families[k].Name, n, families[k].Layers})
		}
	}
	names := func(list []int) []string {
		out := make([]string, len(list))
		for i, k := range list {
			out[i] = families[k].Name
		}
		return out
	}
	for _, s := range m.Steps {
		r.Steps = append(r.Steps, MixStepRecord{names(s.From), names(s.To), s.Value, finiteOr(1/s.Score.Worst(), maxReserve), s.Score.Governing()})
	}
	for k := range families {
		if slices.Contains(m.Left, k) {
			r.Left = append(r.Left, families[k].Name)
		} else {
			r.Candidates = append(r.Candidates, families[k].Name)
		}
	}
	for _, b := range m.Best {
		t := MixTrialRecord{nil, b.Value, finiteOr(1/b.Score.Worst(), maxReserve), b.Score.Governing()}
		for k, n := range b.Layers {
			if n > 0 {
				t.Layers = append(t.Layers, FamilyLayersRecord{families[k].Name, n})
			}
		}
		r.Best = append(r.Best, t)
	}
	return r
}

// note says in a line what the search found.
func (r *MixRecord) note() string {
	var parts []string
	for _, f := range r.Families {
		parts = append(parts, fmt.Sprintf("%d %s", f.Layers, f.Family))
	}
	text := fmt.Sprintf("layer mix found for %s in %d trials: %s; %s governs", r.Goal, r.Tried, strings.Join(parts, " + "), r.Governing)
	if len(r.Left) > 0 {
		text += "; left out, since hardly a strand of them reaches the cutter's length: " + strings.Join(r.Left, ", ")
	}
	return text
}

func firstGuesses(l *field.Layup) []FirstGuessRecord {
	var out []FirstGuessRecord
	for _, c := range l.Choices {
		r := FirstGuessRecord{Family: l.Families[c.Family].Name, Kept: c.Kept}
		for _, t := range c.Tried {
			r.Tried = append(r.Tried, GuessTrialRecord{t.Name, t.Planned})
		}
		for i, t := range c.Drawn {
			r.Drawn = append(r.Drawn, DrawnTrialRecord{t.Name, t.Length, t.Worth, i == c.Best})
		}
		out = append(out, r)
	}
	return out
}

func refinementRecord(l *field.Layup) *RefinementRecord {
	if len(l.Steps) == 0 {
		return nil
	}
	r := &RefinementRecord{Kept: l.Kept, Turning: l.Steps[l.Kept].Turning}
	for _, s := range l.Steps {
		r.Objective = append(r.Objective, s.Value)
	}
	return r
}
