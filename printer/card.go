package printer

import (
	"fmt"
	"math"
	"slices"

	"sinew/card"
	"sinew/geom"
	"sinew/unit"
)

// Ranges of what a card may say: wide enough for any machine of the kind, tight
// enough to catch a wrong unit.
const (
	maxReach = 5000.0 // mm
	maxFeed  = 2000.0 // mm/s
	maxTime  = 36000.0
	maxPrice = 1e6
	// maxOverhang, rad: 75° from upright.
	maxOverhang = 75 * math.Pi / 180
)

// FromCard returns the printer that a card describes. The error is a
// *card.Error with all faults of the values and templates.
func FromCard(c *card.Card) (*Card, error) {
	r := c.Reader()
	out := &Card{ID: c.ID, Title: c.Title, Note: c.Note, Version: c.Version, Hash: c.Hash}
	if c.Kind != "printer" {
		return nil, &card.Error{Faults: []card.Fault{{File: c.File, Key: "kind", What: "is " + c.Kind, Remedy: "name a printer card"}}}
	}
	out.readProcess(r)
	out.readTools(r)
	out.readFeeds(r)
	out.readCost(r)
	out.readWords(r)
	out.Templates = templatesOf(c, r, out.Words)
	out.crossCheck(r)
	if err := r.Done(); err != nil {
		return nil, err
	}
	return out, nil
}

func length(r *card.Reader, key string, lo, hi float64) float64 {
	return r.Number(key, unit.Length, lo, hi)
}

func yes(r *card.Reader, key string) bool { return r.Choice(key, "yes", "no") == "yes" }

func (c *Card) readProcess(r *card.Reader) {
	if r.Choice("process", CoExtruded.String(), PreImpregnated.String()) == PreImpregnated.String() {
		c.Process = PreImpregnated
		c.PregArea = r.Number("filament_section", unit.Area, 0.005, 5)
	} else {
		c.TowShareMax = r.Number("tow_share_max", unit.Share, 0.05, 1)
	}
	c.Bed = Bed{length(r, "bed_x", 10, maxReach), length(r, "bed_y", 10, maxReach), length(r, "bed_z", 1, maxReach), r.OptionalChoice("bed_shape", "rectangle", "rectangle", "circle") == "circle"}
	c.Zero = geom.Point{X: r.Optional("zero_x", unit.Length, -maxReach, maxReach, 0), Y: r.Optional("zero_y", unit.Length, -maxReach, maxReach, 0)}
	c.CoverBelow, c.CoverAbove = yes(r, "cover_below"), yes(r, "cover_above")
	c.CutterDistance = length(r, "cutter_distance", 0.5, 500)
	c.TowRadius = length(r, "bend_radius_min", 0.1, 200)
	if r.Has("tow_tension") || r.Has("corner_hold") { // one alone says nothing
		c.TowTension = r.Number("tow_tension", unit.Force, 1e-4, 100)
		c.CornerHold = r.Number("corner_hold", unit.Stress, 1e-3, 1e4)
	}
	c.SpacingMin, c.SpacingMax = length(r, "spacing_min", 0.05, 20), length(r, "spacing_max", 0.05, 50)
	c.BeadToWall = length(r, "bead_to_wall", 0, 5)
	c.CompositeHeight, c.PlasticHeight = length(r, "composite_height", 0.02, 3), length(r, "plastic_height", 0.02, 3)
	c.WallWidth = length(r, "wall_width", 0.1, 5)
	c.NozzleMax = r.Number("nozzle_max", unit.Temperature, 50, 600)
	c.BedMax = r.Number("bed_max", unit.Temperature, 0, 300)
	c.Standby = r.Optional("standby", unit.TemperatureDifference, 0, 300, 0)
}

func (c *Card) readTools(r *card.Reader) {
	if c.HasPlastic = yes(r, "plastic_nozzle"); c.HasPlastic {
		c.Plastic = readTool(r, PlasticTool)
		c.FilamentDiameter = length(r, "filament_diameter", 0.5, 5)
		c.Plastic.FlowMax = r.Number("plastic_flow_max", unit.FlowRate, 0.1, 500)
		c.RetractLength = length(r, "retract_length", 0, 20)
		c.RetractFeed = r.Number("retract_feed", unit.Speed, 0.1, maxFeed)
	} else if c.Process == CoExtruded {
		c.FilamentDiameter = length(r, "filament_diameter", 0.5, 5)
	}
	c.Composite = readTool(r, CompositeTool)
	if c.Process == CoExtruded {
		c.Composite.FlowMax = r.Number("composite_flow_max", unit.FlowRate, 0.1, 500)
	}
	c.OffsetsInProgram = r.Choice("tool_offsets", "machine", "program") == "program"
	c.SwapTime = r.Number("swap_time", unit.Time, 0, maxTime)
	c.CutTime = r.Number("cut_time", unit.Time, 0, maxTime)
	c.SpoolTime = r.Optional("spool_time", unit.Time, 0, maxTime, 0)
	c.LayerTime = r.Optional("layer_time_min", unit.Time, 0, maxTime, 0)
	c.NeighbourTime = r.Optional("neighbour_time", unit.Time, 0, maxTime, 0)
	if r.Has("wipe_length") {
		c.Wipe = &Wipe{geom.Point{X: length(r, "wipe_x", -maxReach, maxReach), Y: length(r, "wipe_y", -maxReach, maxReach)}, length(r, "wipe_z", 0, maxReach), length(r, "wipe_length", 0.5, 200)}
	}
	c.HeatTime = r.Number("heat_time", unit.Time, 0, maxTime)
	c.Overhang = r.Optional("overhang", unit.Angle, 0, maxOverhang, 0)
	if r.Has("bridge_span") {
		c.Bridge = &Bridge{length(r, "bridge_span", 0.5, 100), r.Number("bridge_feed", unit.Speed, 0.1, maxFeed), r.Number("bridge_flow", unit.Share, 0.5, 1.2), r.Number("bridge_fan", unit.Share, 0, 1)}
	}
	if r.Has("support_pitch") {
		c.Support = &Support{length(r, "support_pitch", 0.5, 20), length(r, "support_gap", 0, 2), length(r, "support_side", 0, 5)}
	}
}

func readTool(r *card.Reader, k ToolKind) Tool {
	p := k.String() + "_"
	at := func(key string) float64 { return length(r, p+key, -maxReach, maxReach) }
	return Tool{
		Number:  int(r.Number(p+"tool", unit.Count, 0, 99)),
		Offset:  geom.Point{X: at("offset_x"), Y: at("offset_y")},
		OffsetZ: at("offset_z"),
		Park:    geom.Point{X: at("park_x"), Y: at("park_y")},
		FeedMax: r.Number(p+"feed_max", unit.Speed, 0.1, maxFeed),
	}
}

func (c *Card) readFeeds(r *card.Reader) {
	feed := func(key string) float64 { return r.Number(key, unit.Speed, 0.1, maxFeed) }
	c.TravelFeed, c.LiftFeed = feed("travel_feed"), feed("lift_feed")
	c.Lift, c.MinTravel = length(r, "lift", 0, 50), length(r, "travel_min", 0, 50)
	c.FirstFeed = feed("first_layer_feed")
	if c.HasPlastic {
		c.WallFeed, c.CoverFeed = feed("wall_feed"), feed("cover_feed")
	}
	c.StrandFeeds = r.CurveWithin("strand_feed", unit.Length, unit.Speed, 0.1, maxFeed)
	c.RestartLength, c.RestartFeed = length(r, "restart_length", 0, 500), feed("restart_feed")
	c.AnchorLength, c.AnchorFeed = length(r, "anchor_length", 0, 200), feed("anchor_feed")
	c.TailFeed = feed("tail_feed")
	c.Fan = r.Optional("fan", unit.Share, 0, 1, 0)
	c.Acceleration = r.Number("acceleration", unit.Acceleration, 10, 1e5)
	c.CornerStep = r.Number("corner_step", unit.Speed, 0.01, 200)
}

func (c *Card) readCost(r *card.Reader) {
	c.PricePerHour = r.Number("machine_price", unit.PricePerHour, 0, maxPrice)
	c.Power = r.Optional("power", unit.Power, 0, 1e5, 0)
	c.EnergyPrice = r.Optional("energy_price", unit.Price, 0, maxPrice, 0)
}

func (c *Card) readWords(r *card.Reader) {
	w := &c.Words
	letter := r.Choice("extrude_letter", "A", "B", "C", "E", "U", "V", "W")
	if letter != "" {
		w.Extrude = letter[0]
	}
	w.Relative = r.Choice("extrude_counts", "from block before", "from start") == "from block before"
	w.Decimals = int(r.Number("decimals", unit.Count, 2, 6))
	w.FeedDecimals = int(r.Number("extrude_decimals", unit.Count, 3, 8))
	w.CommentOpen = r.Choice("comment_opens", "(", ";")
	if w.CommentOpen == "(" {
		w.CommentClose = ")"
	}
	if c.Arcs = yes(r, "arcs"); c.Arcs {
		c.ArcTolerance = length(r, "arc_tolerance", 1e-4, 0.2)
	}
}

// templatesOf reads the card's templates and tells of those that are missing.
func templatesOf(c *card.Card, r *card.Reader, w Words) map[string]*Template {
	out := map[string]*Template{}
	var names []string
	for name := range c.Templates {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		t, err := newTemplate(name, c.Templates[name], w)
		if err != nil {
			r.Fault("template."+name, err.Error(), "see docs/format/printer.md")
			continue
		}
		out[name] = t
	}
	for _, name := range TemplateNames() {
		if _, must, _ := templateFields(name); must && c.Templates[name] == "" {
			r.Fault("template."+name, "is missing", "add it below [template]")
		}
	}
	return out
}

// crossCheck compares values with each other.
func (c *Card) crossCheck(r *card.Reader) {
	if c.SpacingMax < c.SpacingMin {
		r.Fault("spacing_max", fmt.Sprintf("is below spacing_min, %.4g mm", c.SpacingMin), "exchange them")
	}
	if l := c.PullLength(); l > c.TowRadius/2 && c.TowRadius > 0 {
		r.Fault("tow_tension", fmt.Sprintf("pulls the tow inwards over %.3g mm, more than half of the least bend radius: such a tow does not stay where it is laid", l), "correct it or corner_hold")
	}
	for i := 1; i < len(c.StrandFeeds); i++ {
		if c.StrandFeeds[i][1] < c.StrandFeeds[i-1][1] {
			r.Fault("strand_feed", "falls with the bend radius", "a tighter bend is laid no faster than a wide one")
		}
	}
	for i := range c.StrandFeeds {
		c.StrandFeeds[i][1] = math.Min(c.StrandFeeds[i][1], c.Composite.FeedMax)
	}
	if c.HasPlastic && c.Plastic.Number == c.Composite.Number {
		r.Fault("composite_tool", "is the plastic tool's number as well", "give each nozzle a number of its own")
	}
	if c.Process == PreImpregnated && c.CompositeHeight > 0 && c.SpacingMin > 0 && c.PregArea/c.CompositeHeight > c.SpacingMin*(1+widthMismatch) {
		r.Fault("spacing_min", fmt.Sprintf("is less than the ironed bead is wide, %.3g mm", c.PregArea/c.CompositeHeight), "give at least the filament's section over the layer's height")
	}
	if w := c.Wipe; w != nil && (c.Bed.Outside(w.At) > 0 || c.Bed.Outside(w.At.Add(geom.Point{X: w.Length})) > 0) {
		r.Fault("wipe_x", "the brush lies off the bed", "place it where the nozzle reaches")
	}
	if c.LayerTime > 0 && c.Templates["dwell"] == nil {
		r.Fault("layer_time_min", "wants the machine to wait, and there is no template for it", "add dwell below [template], such as dwell = \"G4 F{{.Seconds}}\"")
	}
	c.checkClashes(r)
}

// widthMismatch is the share by which an ironed bead may be pressed into its
// neighbour.
const widthMismatch = 0.02

// checkClashes refuses templates whose lines cannot be told from those of
// another template or from moves: a program that uses them cannot be read.
func (c *Card) checkClashes(r *card.Reader) {
	seen := map[string]string{}
	for _, name := range TemplateNames() {
		t := c.Templates[name]
		if t == nil || name == "start" || name == "end" {
			continue
		}
		if len(t.Lines) == 0 {
			r.Fault("template."+name, "is empty", "write the machine's words")
			continue
		}
		first := t.Lines[0]
		if len(first.Words) == 0 {
			continue
		}
		if other, ok := seen[first.form()]; ok {
			r.Fault("template."+name, "starts as template."+other+" does", "give each its own words, so that a program can be read back")
		}
		seen[first.form()] = name
	}
}

// form names the words of a line: letters, and numbers where they are fixed.
func (l TemplateLine) form() string {
	s := ""
	for _, w := range l.Words {
		s += string(w.Letter)
		if w.Field == "" {
			s += fmt.Sprint(w.Number)
		} else {
			s += "#"
		}
		s += " "
	}
	return s
}
