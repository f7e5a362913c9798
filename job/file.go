package job

// SchemaName is the first line of every job file: it fixes the meaning of all
// keys below.
const SchemaName = "sinew-job/1"

// File is job.toml as the user writes it. Quantities are text with units.
// The jsonschema_description of each field is the text of the schema and of
// the job-file reference; both are made from this type. A field tagged names:"feature" holds the name of a
// feature, its own or one it refers to: renaming follows it.
type File struct {
	Schema   string         `toml:"schema" json:"schema" jsonschema:"enum=sinew-job/1" jsonschema_description:"Always \"sinew-job/1\": which rules this file follows."`
	Name     string         `toml:"name" json:"name" jsonschema_description:"What the part is called in reports."`
	Note     string         `toml:"note" json:"note,omitempty" jsonschema_description:"Free text for the dossier."`
	Part     PartTable      `toml:"part" json:"part" jsonschema_description:"The part: a drawing times a thickness, or a solid."`
	Features []FeatureTable `toml:"feature" json:"feature,omitempty" jsonschema_description:"Names for holes and sides, so that supports, loads and probes can refer to them. Holes without a name are called hole-1, hole-2 … in the order of the report."`
	Supports []SupportTable `toml:"support" json:"support" jsonschema_description:"Where the part is held."`
	Cases    []CaseTable    `toml:"case" json:"case" jsonschema_description:"Load cases; every design is judged under each."`
	Probes   []ProbeTable   `toml:"probe" json:"probe,omitempty" jsonschema_description:"Places at which displacement, strain, stress or reaction is wanted."`
	Material MaterialTable  `toml:"material" json:"material" jsonschema_description:"Tow, plastic and printer, by card."`
	Layup    LayupTable     `toml:"layup" json:"layup" jsonschema_description:"Walls, covers, and the families of strands."`
	Mesh     MeshTable      `toml:"mesh" json:"mesh,omitempty" jsonschema_description:"Finite elements."`
	Analysis AnalysisTable  `toml:"analysis" json:"analysis,omitempty" jsonschema_description:"What is asked of the part as a plate that bends, and the memory an analysis may take. Loads across the plane are always analysed as such."`
	Judge    JudgeTable     `toml:"judge" json:"judge,omitempty" jsonschema_description:"How failure is judged; the same for every design."`
	Require  RequireTable   `toml:"require" json:"require,omitempty" jsonschema_description:"What the part must reach. A case's factor is already in its loads."`
	Batch    BatchTable     `toml:"batch" json:"batch,omitempty" jsonschema_description:"Copies on the bed, and what is on the machine's spools."`
	Compare  CompareTable   `toml:"compare" json:"compare,omitempty" jsonschema_description:"Designs to compare with."`
}

// PartTable is [part].
type PartTable struct {
	Drawing   string   `toml:"drawing" json:"drawing,omitempty" jsonschema_description:"DXF or SVG file of the outline, relative to the job's folder; or"`
	Solid     string   `toml:"solid" json:"solid,omitempty" jsonschema_description:"3MF or STL file of the whole part instead of a drawing. STEP is not read: save it as 3MF."`
	Up        string   `toml:"up" json:"up,omitempty" jsonschema:"enum=x,enum=y,enum=z,enum=-x,enum=-y,enum=-z" jsonschema_description:"Of a solid, needed with it: the direction of the file that points up in the print. x and y stay what they are for z; other sides turn the part about x (y, -y, -z) or y (x, -x)."`
	Units     string   `toml:"units" json:"units,omitempty" jsonschema:"enum=mm,enum=cm,enum=m,enum=in" jsonschema_description:"Unit of the file where it states none, as STL never does; contradicting a file that states one is an error."`
	Layers    []string `toml:"layers" json:"layers,omitempty" jsonschema_description:"Drawing layers to read; all when left out."`
	Join      Length   `toml:"join" json:"join,omitempty" jsonschema_description:"Loose ends nearer than this are joined. Default 0.01 mm."`
	Thickness Length   `toml:"thickness" json:"thickness,omitempty" jsonschema_description:"Of the plate; of a solid its height, which may be left out. Covers and composite layers must add up to it."`
}

// FeatureTable is one [[feature]].
type FeatureTable struct {
	Name string    `toml:"name" json:"name" names:"feature" jsonschema_description:"The name to refer to."`
	Hole *HolePick `toml:"hole" json:"hole,omitempty" jsonschema_description:"Picks one hole."`
	Side *SidePick `toml:"side" json:"side,omitempty" jsonschema_description:"Picks edges of the outline or of a hole."`
}

// HolePick chooses a hole.
type HolePick struct {
	Near     *[2]Length `toml:"near" json:"near,omitempty" jsonschema_description:"Point inside the hole or nearest to its centre."`
	Diameter Length     `toml:"diameter" json:"diameter,omitempty" jsonschema_description:"Diameter of a round hole, to 0.05 mm."`
}

// SidePick chooses edges.
type SidePick struct {
	Near  *[2]Length `toml:"near" json:"near,omitempty" jsonschema_description:"The edge nearest to this point."`
	Layer string     `toml:"layer" json:"layer,omitempty" jsonschema_description:"The edges drawn on this drawing layer."`
	Face  string     `toml:"face" json:"face,omitempty" jsonschema_description:"Of a solid: the edges of this upright face. Faces are called flat-1, flat-2 …, round-1 …; sinew new lists them, and so does the message for a name that is not there."`
	End   string     `toml:"end" json:"end,omitempty" jsonschema:"enum=left,enum=right,enum=top,enum=bottom" jsonschema_description:"The straight edge at the part's extreme in this direction."`
}

// SupportTable is one [[support]].
type SupportTable struct {
	At    string `toml:"at" json:"at" names:"feature" jsonschema_description:"Name of a feature."`
	How   string `toml:"how" json:"how" jsonschema:"enum=fixed,enum=pinned,enum=sliding,enum=resting" jsonschema_description:"fixed: no displacement; pinned: held in place but free to turn about its centre; sliding: held along angle, free across it; resting: free in the plane, held across it alone."`
	Angle Angle  `toml:"angle" json:"angle,omitempty" jsonschema_description:"Held direction of a sliding support, from x, counter-clockwise."`
	// Across counts for the part as a plate that bends.
	Across string `toml:"across" json:"across,omitempty" jsonschema:"enum=unheld,enum=held,enum=hinged,enum=clamped,enum=mirrored" jsonschema_description:"How it holds against bending. unheld: not at all; held: no deflection, free to tilt; hinged: no deflection and no tilt along the edge; clamped: neither deflection nor tilt; mirrored: a line of symmetry. Default clamped where fixed, held elsewhere."`
	Spoke  Stress `toml:"spoke" json:"spoke,omitempty" jsonschema_description:"Pinned: the bolt's give, N/mm for each mm of rim, as a stress. Default: rigid."`
}

// CaseTable is one [[case]].
type CaseTable struct {
	Name              string          `toml:"name" json:"name" jsonschema_description:"What the case is called."`
	Factor            *float64        `toml:"factor" json:"factor,omitempty" jsonschema_description:"Multiplies the whole case: safety factor times load factor. Default 1."`
	Loads             []LoadTable     `toml:"load" json:"load,omitempty" jsonschema_description:"Forces on features."`
	Acceleration      [2]Acceleration `toml:"acceleration" json:"acceleration,omitempty" jsonschema_description:"Acceleration of the part in x and y; its inertia acts the other way. Weight of a part hung with y upwards: [\"0 m/s²\", \"9.81 m/s²\"]."`
	Pressure          Stress          `toml:"pressure" json:"pressure,omitempty" jsonschema_description:"Pressure on the whole face, towards +z; negative towards the bed side."`
	AccelerationZ     Acceleration    `toml:"acceleration_z" json:"acceleration_z,omitempty" jsonschema_description:"Acceleration of the part along z; its inertia acts the other way. Weight of a part that lies with z upwards: 9.81 m/s²."`
	Points            []PointTable    `toml:"point" json:"point,omitempty" jsonschema_description:"Forces on spots of the face."`
	Spin              *SpinTable      `toml:"spin" json:"spin,omitempty" jsonschema_description:"Rotation in the part's plane."`
	TemperatureChange TempDifference  `toml:"temperature_change" json:"temperature_change,omitempty" jsonschema_description:"Uniform change from material.temperature, at which the part is taken to hold no stress and its figures are read."`
	TemperatureAcross TempDifference  `toml:"temperature_across" json:"temperature_across,omitempty" jsonschema_description:"How much more the upper face warms than the lower one, linear between; the changes above and below are then those half way up. It bends the part."`
	Temperatures      []HeatTable     `toml:"temperature" json:"temperature,omitempty" jsonschema_description:"Instead of temperature_change: places whose change is given, one to three; linear between and beyond them."`
}

// HeatTable is one [[case.temperature]].
type HeatTable struct {
	At     [2]Length      `toml:"at" json:"at" jsonschema_description:"Place, on the part or beside it."`
	Change TempDifference `toml:"change" json:"change" jsonschema_description:"Change there from material.temperature, at which the part is taken to hold no stress."`
}

// PointTable is one [[case.point]].
type PointTable struct {
	At    [2]Length `toml:"at" json:"at" jsonschema_description:"Place on the face."`
	Force Force     `toml:"force" json:"force" jsonschema_description:"Size of the force, towards +z."`
}

// SpinTable is case.spin.
type SpinTable struct {
	RPM    float64   `toml:"rpm" json:"rpm" jsonschema_description:"Turns a minute."`
	Center [2]Length `toml:"center" json:"center,omitempty" jsonschema_description:"Axis, along z. Default the drawing's origin."`
}

// AnalysisTable is [analysis].
type AnalysisTable struct {
	Bending     bool             `toml:"bending" json:"bending,omitempty" jsonschema_description:"Judge every case as a plate that may bend, not only those with loads across the plane: stacks that are not symmetric bend under any load. Default false."`
	Buckling    int              `toml:"buckling" json:"buckling,omitempty" jsonschema_description:"How many buckling factors to find of each case as printed. Default 0: none."`
	Frequencies int              `toml:"frequencies" json:"frequencies,omitempty" jsonschema_description:"How many natural frequencies to find of the part as printed and as its supports hold it. Default 0: none."`
	Large       bool             `toml:"large" json:"large,omitempty" jsonschema_description:"Follow every case as printed, and the warp, with large deflections: a thin part stiffens as it bends, snaps or gives way. Where it may buckle it is taken to be a tenth of its thickness off flat. Default false."`
	Warp        bool             `toml:"warp" json:"warp,omitempty" jsonschema_description:"How the print bends when it leaves the bed and cools. Default false."`
	StressFree  *Temperature     `toml:"stress_free" json:"stress_free,omitempty" jsonschema_description:"Temperature at which the print holds no stress, for warp. Default the higher of the plastic's glass and heat-deflection temperatures."`
	Foundation  *FoundationTable `toml:"foundation" json:"foundation,omitempty" jsonschema_description:"What the whole face lies on and is held by, both ways."`
	VTU         bool             `toml:"vtu" json:"vtu,omitempty" jsonschema_description:"Write plate.vtu, a VTK file of all fields as printed: displacement, forces, moments, stress of every layer, failure indices and the least reserve factor. Default false."`
	Memory      Memory           `toml:"memory" json:"memory,omitempty" jsonschema_description:"Most memory that the factorisation of a system of equations may take. One that needs more, as known before it starts, is solved step by step instead, which takes much longer and far less memory; buckling, frequencies and large deflections are then refused. Default 4 GiB."`
}

// FoundationTable is analysis.foundation.
type FoundationTable struct {
	Pressure Stress `toml:"pressure" json:"pressure" jsonschema_description:"Pressure that"`
	Sinks    Length `toml:"sinks" json:"sinks" jsonschema_description:"sinks the part by so much."`
}

// LoadTable is one [[case.load]].
type LoadTable struct {
	At     string `toml:"at" json:"at" names:"feature" jsonschema_description:"Name of a feature."`
	How    string `toml:"how" json:"how" jsonschema:"enum=bearing,enum=even,enum=traction,enum=pressure,enum=grip,enum=half-pin,enum=bolt" jsonschema_description:"bearing: a pin presses on half of a round hole, pressure by the cosine; half-pin: the same half follows a rigid pin without friction; bolt: the feature moves as a rigid body, tied to a bolt; even: force spread along the feature; traction: stress on its face; pressure: stress inwards along its normal; grip: the side is clamped and moves as one along the force."`
	Force  Force  `toml:"force" json:"force,omitempty" jsonschema_description:"Size of the force in the plane (bearing, half-pin, bolt, even, grip)."`
	Stress Stress `toml:"stress" json:"stress,omitempty" jsonschema_description:"Size of the stress (traction, pressure)."`
	Angle  Angle  `toml:"angle" json:"angle,omitempty" jsonschema_description:"Direction in which the force acts on the part, from x, counter-clockwise. Default 0°."`
	// What follows acts across the plane.
	Out    Force     `toml:"out" json:"out,omitempty" jsonschema_description:"Even, bolt: force across the plane, towards +z."`
	Moment [2]Moment `toml:"moment" json:"moment,omitempty" jsonschema_description:"Even, bolt: moment about the axes x and y."`
	Spoke  Stress    `toml:"spoke" json:"spoke,omitempty" jsonschema_description:"Bolt: the give of its spokes, N/mm for each mm of rim, as a stress. Default: rigid."`
}

// ProbeTable is one [[probe]].
type ProbeTable struct {
	Name  string     `toml:"name" json:"name" jsonschema_description:"What the probe is called."`
	At    string     `toml:"at" json:"at,omitempty" names:"feature" jsonschema_description:"Name of a feature (mean displacement, reaction), or"`
	Point *[2]Length `toml:"point" json:"point,omitempty" jsonschema_description:"a point of the part (displacement, stress, strain)."`
	Angle Angle      `toml:"angle" json:"angle,omitempty" jsonschema_description:"Direction of the strain gauge. Default 0°."`
}

// MaterialTable is [material].
type MaterialTable struct {
	Tow         string      `toml:"tow" json:"tow,omitempty" jsonschema_description:"Card of the tow."`
	Plastic     string      `toml:"plastic" json:"plastic" jsonschema_description:"Card of the plastic around the tow and of walls and covers."`
	Bead        string      `toml:"bead" json:"bead,omitempty" jsonschema_description:"Card of a measured or stated bead, which replaces what tow and plastic give."`
	TowMethod   string      `toml:"tow_method" json:"tow_method,omitempty" jsonschema:"enum=halpin-tsai,enum=rule-of-mixtures,enum=chamis,enum=cylinder-assemblage,enum=mori-tanaka" jsonschema_description:"Method that leads from filament and resin to the tow. Default that of the bead card, else halpin-tsai."`
	BeadMethod  string      `toml:"bead_method" json:"bead_method,omitempty" jsonschema:"enum=halpin-tsai,enum=rule-of-mixtures,enum=chamis,enum=cylinder-assemblage,enum=mori-tanaka" jsonschema_description:"Method that leads from tow and plastic to the bead. Default as tow_method."`
	Printer     string      `toml:"printer" json:"printer" jsonschema_description:"Card of the printer."`
	Temperature Temperature `toml:"temperature" json:"temperature,omitempty" jsonschema_description:"At which the part works; plastics soften with it. Default 23 °C."`
	Conditioned bool        `toml:"conditioned" json:"conditioned,omitempty" jsonschema_description:"Polyamides: moist as in room air instead of dry."`
	Knockdowns  []string    `toml:"knockdowns" json:"knockdowns,omitempty" jsonschema_description:"Cards of knock-down factors that multiply the strengths."`
}

// LayupTable is [layup].
type LayupTable struct {
	Walls     *int          `toml:"walls" json:"walls,omitempty" jsonschema_description:"Plastic beads along outline and holes in every layer. Default 1."`
	Covers    CoversTable   `toml:"covers" json:"covers,omitempty" jsonschema_description:"Plain plastic layers below and above the composite."`
	Border    int           `toml:"border" json:"border,omitempty" jsonschema_description:"Beads laid against the outline on the bed, to hold the part down; they are broken off. Default 0."`
	Ring      Length        `toml:"ring" json:"ring,omitempty" jsonschema_description:"Distance from the part of a bead around it on the bed, laid first, so that the plastic flows. Default: none."`
	Supports  bool          `toml:"supports" json:"supports,omitempty" jsonschema_description:"Prints supports of plain plastic under what reaches out over air and no bridge spans, in a part from a solid; they are broken off. Default: what reaches out too far stops the print."`
	Overhang  Angle         `toml:"overhang" json:"overhang,omitempty" jsonschema_description:"From upright, how far each layer may reach over the one below. Default: the printer card's."`
	LinkLoops bool          `toml:"link_loops" json:"link_loops,omitempty" jsonschema_description:"Closed strands that lie inside one another become one strand, which steps over from loop to loop at a quiet place: fewer cuts and restarts, but one strand less passes there. Default: one strand a loop."`
	TurnAt    []string      `toml:"turn_at" json:"turn_at,omitempty" names:"feature" jsonschema_description:"Features at which ends of strands may be joined to longer strands by half-turns, as wide as the tow bends: fewer cuts and restarts, but no strand reaches the edge where they turn. Choose places that carry little, such as grips. Default: none."`
	Stagger   *Length       `toml:"stagger" json:"stagger,omitempty" jsonschema_description:"Along strands, how far their ends inside the part keep from those of the two layers below: those that end at a terrace, before a bend or a neck, or at a locked strand, and where closed ones start. 0 mm leaves them. Default judge.transfer, at least 5 mm."`
	TurnReach Length        `toml:"turn_reach" json:"turn_reach,omitempty" jsonschema_description:"How far apart ends may lie that are joined by half-turns. Default four of the tow's least radii."`
	Order     []string      `toml:"order" json:"order,omitempty" jsonschema_description:"Names of the families, one for each composite layer, bottom to top. Bending, buckling and warp depend on it, what stretches the part does not. Default: symmetric, each family spread over the thickness; with [layup.search], the order that is found."`
	Families  []FamilyTable `toml:"family" json:"family" jsonschema_description:"Families of strands; each fills whole layers."`
	Search    *SearchTable  `toml:"search" json:"search,omitempty" jsonschema_description:"Search for the layer mix: which families, and how many layers of each. The families given are where it starts. Left out: they are laid as given."`
	Refine    RefineTable   `toml:"refine" json:"refine,omitempty" jsonschema_description:"Refinement of the steered families after their least-squares fit, along the derivative of the reserve."`
}

// SearchTable is [layup.search]: its presence asks for the search.
type SearchTable struct {
	Goal        string   `toml:"goal" json:"goal,omitempty" jsonschema:"enum=reserve,enum=ratio,enum=stiffness,enum=layers,enum=tow" jsonschema_description:"reserve: the greatest reserve factor of what fails first, each by what is required of it; ratio: the reserve factors of each mode under each case against those of quasi-isotropic fibre of as much tow as the families given hold, the least ratio first; stiffness: the greatest stiffness that meets the required reserve factors; layers: the fewest layers, and so the least mass, that meet them: the part then gets thinner than part.thickness; tow: the shortest tow, and so the least price, that meets them at the thickness given: plain plastic takes the place of strands. Default reserve."`
	Tow         Length   `toml:"tow" json:"tow,omitempty" jsonschema_description:"Greatest length of tow in all layers, such as \"20 m\"; spacing is widened for it. Default: what the families come to."`
	Price       float64  `toml:"price" json:"price,omitempty" jsonschema_description:"Greatest price of tow and plastic together, in the currency of the cards; it bounds the tow."`
	Candidates  []string `toml:"candidates" json:"candidates,omitempty" jsonschema:"enum=steered,enum=loops,enum=rim,enum=straight,enum=plain" jsonschema_description:"Kinds of family that may enter beside those given. Default all: steered (for all cases, and for each), loops (around each pin and each pair of pins), rim, straight, plain (plastic without strands)."`
	Angles      []Angle  `toml:"angles" json:"angles,omitempty" jsonschema_description:"Of straight families that may enter. Default 0, 90, 45, -45, 30 and -30° from the direction that carries most force."`
	Unsymmetric bool     `toml:"unsymmetric" json:"unsymmetric,omitempty" jsonschema_description:"Layers move one at a time, so that the stack may end unsymmetric. Default: they move in pairs. Where the part bends or may buckle, the order of the layers is sought too, symmetric by default."`
}

// RefineTable is [layup.refine].
type RefineTable struct {
	Steps *int   `toml:"steps" json:"steps,omitempty" jsonschema_description:"Most steps; each analyses the part once or twice. Default 20; 0 keeps the least-squares fit: the quick answer."`
	Goal  string `toml:"goal" json:"goal,omitempty" jsonschema:"enum=balance,enum=reserve,enum=stiffness" jsonschema_description:"balance: fibre and matrix reserve and stiffness, each by its ratio; reserve: whatever fails first; stiffness: that alone. Default balance."`
}

// CoversTable is layup.covers.
type CoversTable struct {
	Bottom int `toml:"bottom" json:"bottom,omitempty" jsonschema_description:"Number of plastic layers below. Default 0."`
	Top    int `toml:"top" json:"top,omitempty" jsonschema_description:"Number of plastic layers above. Default 0."`

	Fill    string            `toml:"fill" json:"fill,omitempty" jsonschema:"enum=solid,enum=lines,enum=triangles,enum=hexagons,enum=gyroid" jsonschema_description:"How layers between the skins are filled. Default solid. Mass counts them by their share, stiffness by share/(3 - 2·share)."`
	Share   Share             `toml:"share" json:"share,omitempty" jsonschema_description:"Of the area under beads, where fill is not solid. Default 30 %."`
	Skin    int               `toml:"skin" json:"skin,omitempty" jsonschema_description:"Layers filled whole at each face: outside, and where composite is laid on. Default 1."`
	Regions []FillRegionTable `toml:"region" json:"region,omitempty" jsonschema_description:"Shares of their own around features. The first that holds a place counts, in stiffness and mass too."`
}

// FillRegionTable is one [[layup.covers.region]].
type FillRegionTable struct {
	At     string `toml:"at" json:"at" jsonschema_description:"Name of a feature."`
	Within Length `toml:"within" json:"within" jsonschema_description:"Distance from it."`
	Share  *Share `toml:"share" json:"share,omitempty" jsonschema_description:"Of the area under beads. Default 100 %."`
}

// FamilyTable is one [[layup.family]].
type FamilyTable struct {
	Name          string        `toml:"name" json:"name,omitempty" jsonschema_description:"What the family is called; default its kind."`
	Kind          string        `toml:"kind" json:"kind" jsonschema:"enum=steered,enum=straight,enum=loop,enum=rim,enum=ribs,enum=drawn,enum=plain" jsonschema_description:"steered: along the load, around holes; straight: at an angle; loop: turns around holes; rim: turns along the outline; ribs: a lattice's ribs at one angle, further angles are further families; drawn: paths of your own, one strand each; plain: layers of plastic without strands, as high as the others."`
	Layers        int           `toml:"layers" json:"layers,omitempty" jsonschema_description:"How many layers hold it. Needed, but for drawn strands that lie in another family's layers (into)."`
	Lock          bool          `toml:"lock" json:"lock,omitempty" jsonschema_description:"The search for the layer mix keeps this family's layers."`
	Spacing       Length        `toml:"spacing" json:"spacing,omitempty" jsonschema_description:"Mean distance of strands. Default 1 mm, at least the bead's least width; where the process fixes the width, that width."`
	Angle         Angle         `toml:"angle" json:"angle,omitempty" jsonschema_description:"Of a straight family or of ribs."`
	Around        []string      `toml:"around" json:"around,omitempty" names:"feature" jsonschema_description:"Loop: one hole, or two that the loop joins."`
	Turns         int           `toml:"turns" json:"turns,omitempty" jsonschema_description:"Of a loop or a rim. Default 3."`
	FigureEight   bool          `toml:"figure_eight" json:"figure_eight,omitempty" jsonschema_description:"Loop around two round holes: figures of eight, which cross over between the holes. Each layer holds one leg of the crossing whole, the next layer the other."`
	Pitch         Length        `toml:"pitch" json:"pitch,omitempty" jsonschema_description:"Ribs: distance from rib to rib. It gives way a little so that a whole number of them fits the outline."`
	Bundle        int           `toml:"bundle" json:"bundle,omitempty" jsonschema_description:"Ribs: strands side by side in a rib, at the family's spacing. Default 1."`
	ByLoad        bool          `toml:"by_load" json:"by_load,omitempty" jsonschema_description:"Ribs: ribs that carry more get more strands, those that carry less fewer, as many in all."`
	Drawing       string        `toml:"drawing" json:"drawing,omitempty" jsonschema_description:"Drawn: DXF or SVG file with the paths, relative to the job's folder, in the coordinates of the part's drawing."`
	Units         string        `toml:"units" json:"units,omitempty" jsonschema:"enum=mm,enum=cm,enum=m,enum=in" jsonschema_description:"Unit of that drawing where it states none."`
	DrawingLayers []string      `toml:"drawing_layers" json:"drawing_layers,omitempty" jsonschema_description:"Drawing layers to take the paths from; all when left out. A family for each drawing layer gives each its own settings."`
	Paths         [][][2]Length `toml:"paths" json:"paths,omitempty" jsonschema_description:"Drawn: the paths point by point, instead of a drawing or besides it. A path whose last point is its first is closed."`
	Within        [][2]Length   `toml:"within" json:"within,omitempty" jsonschema_description:"Drawn: corners of the area from which the paths are taken; what lies outside is left out. With strands.dxf of a former run as drawing and the same family in into, the strands of a region stay as they were and the rest is planned anew around them."`
	Smooth        bool          `toml:"smooth" json:"smooth,omitempty" jsonschema_description:"Drawn: corners are rounded towards the tow's least radius, by up to 2 mm or so. Left out: paths are laid as drawn."`
	Into          string        `toml:"into" json:"into,omitempty" jsonschema_description:"Drawn: name of the family in whose layers these strands lie, locked: that family's own strands flow around them. Left out: they fill layers of their own."`
}

// MeshTable is [mesh].
type MeshTable struct {
	Size      Length `toml:"size" json:"size,omitempty" jsonschema_description:"Largest element side. Default 2 mm, or 1/20 of a small part."`
	HoleSize  Length `toml:"hole_size" json:"hole_size,omitempty" jsonschema_description:"Element side on arcs. Default a tenth of the radius."`
	Tolerance Share  `toml:"tolerance" json:"tolerance,omitempty" jsonschema_description:"Refine until the energy error estimate is below this. Default 5 %."`
	Peak      Share  `toml:"peak" json:"peak,omitempty" jsonschema_description:"Refine also until the peak stress of every case changes by less than this from mesh to mesh. Default: not asked. A sharp inner corner or the rim of a fixed hole has no peak to converge to."`
}

// JudgeTable is [judge].
type JudgeTable struct {
	Notch     string `toml:"notch" json:"notch,omitempty" jsonschema:"enum=disc,enum=point-stress,enum=average-stress" jsonschema_description:"Over what distance failure is judged at edges, for every design alike. disc: mean over a disc of radius (default); point-stress: at the bead card's point_distance from the edge; average-stress: mean over its average_distance (Whitney and Nuismer). The other two stand beside it in the dossier."`
	Criterion string `toml:"criterion" json:"criterion,omitempty" jsonschema:"enum=max-stress,enum=max-strain,enum=tsai-hill,enum=tsai-wu,enum=hashin,enum=puck" jsonschema_description:"Criterion of failure between the fibres. Default hashin. tsai-hill and tsai-wu mix fibre and matrix; fibre alone is always judged by strain. What all six say stands in the dossier."`
	Collapse  bool   `toml:"collapse" json:"collapse,omitempty" jsonschema_description:"Follow the print, the straight print and the drilled laminate past first failure to the greatest load, bead by bead. Takes some hundred solutions a case. Default false."`
	Radius    Length `toml:"radius" json:"radius,omitempty" jsonschema_description:"Failure indices are averaged over a disc of this radius. Default 1 mm."`
	Mask      Length `toml:"mask" json:"mask,omitempty" jsonschema_description:"Distance from gripped and fixed sides within which failure is not judged. Default 0 mm."`
	Bearing   Stress `toml:"bearing" json:"bearing,omitempty" jsonschema_description:"Mean pressure (force over diameter times thickness) that the composite stands at a pin, from tests. Left out: bearing is judged by the finite elements alone."`
	Transfer  Length `toml:"transfer" json:"transfer,omitempty" jsonschema_description:"Length over which the end of a strand takes up its load. Default 0 mm."`
}

// RequireTable is [require].
type RequireTable struct {
	Fibre  *float64 `toml:"fibre" json:"fibre,omitempty" jsonschema_description:"Least reserve factor against first failure of the fibres, bearing at a pin too. Default 1."`
	Matrix *float64 `toml:"matrix" json:"matrix,omitempty" jsonschema_description:"Least reserve factor against first failure of what holds the fibres: matrix, plain plastic, shear between layers. Default 1."`
	// Buckling counts where analysis.buckling asks for factors.
	Buckling *float64 `toml:"buckling" json:"buckling,omitempty" jsonschema_description:"Least buckling factor, where analysis.buckling finds any. Default 1."`
}

// BatchTable is [batch].
type BatchTable struct {
	Copies      int    `toml:"copies" json:"copies,omitempty" jsonschema_description:"Parts in one print, placed on the bed by their outline. Default 1."`
	Spacing     Length `toml:"spacing" json:"spacing,omitempty" jsonschema_description:"Least distance of copies. Default 5 mm."`
	TowLeft     Length `toml:"tow_left" json:"tow_left,omitempty" jsonschema_description:"Tow on the machine's spool. Default a full one, as the tow's card says; where neither is known no change is planned."`
	PlasticLeft Mass   `toml:"plastic_left" json:"plastic_left,omitempty" jsonschema_description:"Plastic on each nozzle's spool. Default a full one, as the plastic's card says."`
}

// CompareTable is [compare].
type CompareTable struct {
	Metals     []string `toml:"metals" json:"metals,omitempty" jsonschema_description:"Cards of metals. Default two aluminium alloys."`
	ShortFibre string   `toml:"short_fibre" json:"short_fibre,omitempty" jsonschema_description:"Card of a short-fibre plastic."`
	Printers   []string `toml:"printers" json:"printers,omitempty" jsonschema_description:"Cards of other printers: the part is planned, proved and posted for each as well, with as many layers as come nearest to its thickness, and set beside the job's own."`
}
