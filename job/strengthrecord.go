package job

// StrengthRecord says how failure was judged and what is told of the print
// alone.
type StrengthRecord struct {
	Rule       string            `json:"notch_rule" jsonschema:"enum=disc,enum=point-stress,enum=average-stress"`
	RadiusMM   float64           `json:"disc_radius_mm"`
	PointMM    float64           `json:"point_distance_mm"`
	AverageMM  float64           `json:"average_distance_mm"`
	Criterion  string            `json:"criterion" jsonschema_description:"of failure between the fibres"`
	KnockDowns []KnockDownRecord `json:"knock_downs" jsonschema_description:"in every allowable of the beads and of the print's plastic"`
	Criteria   []CriterionRecord `json:"criteria" jsonschema_description:"what each criterion says of the part as printed, by discs, each at the place that is worst by it"`
	Governing  []CriterionRecord `json:"criteria_at_governing" jsonschema_description:"what all criteria say where the governing margin of the beads lies, by the rule that the part is judged by"`
	Ends       *EndsRecord       `json:"strand_ends,omitempty"`
	Stacks     []StackRecord     `json:"stacks"`
	CoolDownK  float64           `json:"cool_down_K" jsonschema_description:"from where the plastic sets to where the part works"`
}

// KnockDownRecord is one named knock-down.
type KnockDownRecord struct {
	ID           string  `json:"id"`
	Title        string  `json:"title"`
	Tension      float64 `json:"fibre_tension"`
	Compression  float64 `json:"fibre_compression"`
	Matrix       float64 `json:"matrix"`
	Interlaminar float64 `json:"interlaminar"`
	Stiffness    float64 `json:"stiffness"`
	Source       string  `json:"source"`
}

// CriterionRecord is the answer of one failure criterion under one case.
type CriterionRecord struct {
	Criterion   string       `json:"criterion"`
	Fails       string       `json:"fails" jsonschema_description:"what fails, as the criterion names it"`
	Margin      MarginRecord `json:"margin"`
	FractureDeg float64      `json:"fracture_angle_deg" jsonschema_description:"of the fracture plane, where the criterion gives one"`
}

// EndsRecord is the most loaded end of a strand.
type EndsRecord struct {
	NeedMM  float64 `json:"length_needed_mm" jsonschema_description:"at which the mean interlaminar shear on both faces of the bead reaches its strength"`
	Stress  float64 `json:"stress_MPa" jsonschema_description:"along the strand where it would run on"`
	X       float64 `json:"x_mm"`
	Y       float64 `json:"y_mm"`
	Layer   int     `json:"composite_layer"`
	Case    string  `json:"case"`
	Reserve float64 `json:"reserve_factor,omitempty" jsonschema_description:"judge.transfer over the length needed; left out where no length is stated"`
}

// StackRecord is the pile of layers at one place by classical laminate theory.
type StackRecord struct {
	Why string  `json:"why"`
	X   float64 `json:"x_mm"`
	Y   float64 `json:"y_mm"`
	LaminateRecord
	Curvature float64 `json:"warp_curvature_per_m" jsonschema_description:"of a free piece after the cool-down, in its most bent direction"`
	WarpDeg   float64 `json:"warp_direction_deg"`
	BowMM     float64 `json:"bow_mm" jsonschema_description:"rise over the part's length if the stack were the same everywhere"`
	SpanMM    float64 `json:"span_mm"`
}

// RuleRecord holds the least reserves by one notch rule.
type RuleRecord struct {
	Rule   string  `json:"rule"`
	Fibre  float64 `json:"fibre,omitempty"`
	Matrix float64 `json:"matrix,omitempty"`
	Least  float64 `json:"least"`
	By     string  `json:"least_by"`
}

// JointRecord is a loaded hole by the trade's simple formulas.
type JointRecord struct {
	Feature      string        `json:"feature"`
	ForceN       float64       `json:"force_N"`
	DirectionDeg float64       `json:"direction_deg"`
	WidthMM      float64       `json:"width_mm"`
	EdgeMM       float64       `json:"edge_distance_mm"`
	Checks       []JointReport `json:"checks"`
	Elements     *MarginRecord `json:"finite_elements,omitempty" jsonschema_description:"least margin by finite elements around the hole, up to half a diameter from its rim"`
}

// JointReport is one of the formulas.
type JointReport struct {
	Check    string  `json:"check" jsonschema:"enum=bearing,enum=net section,enum=shear-out"`
	Stress   float64 `json:"stress_MPa"`
	Strength float64 `json:"strength_MPa"`
	Reserve  float64 `json:"reserve_factor"`
}

// CollapseRecord is the way of a design to its greatest load. Load factors are
// of the required load.
type CollapseRecord struct {
	FirstFibre  float64      `json:"first_fibre,omitempty"`
	FirstMatrix float64      `json:"first_matrix,omitempty"`
	Load        float64      `json:"collapse"`
	Cracked     float64      `json:"cracked_share" jsonschema_description:"of the beads' volume at the greatest load"`
	Broken      float64      `json:"broken_share"`
	Ended       string       `json:"ended" jsonschema_description:"why it went no further"`
	Curve       [][2]float64 `json:"curve" jsonschema_description:"movement of the load mm (under moments alone its turn, rad), load factor, as a test with weights would draw it: the load stands while beads fail, and drops where the part gives way"`
}

// MethodRecord is the bead by one method of micromechanics.
type MethodRecord struct {
	Method string  `json:"method"`
	E1     float64 `json:"E1_MPa"`
	E2     float64 `json:"E2_MPa"`
	G12    float64 `json:"G12_MPa"`
	G23    float64 `json:"G23_MPa"`
	Nu12   float64 `json:"nu12"`
	Alpha1 float64 `json:"alpha1_per_K"`
	Alpha2 float64 `json:"alpha2_per_K"`
	Beta1  float64 `json:"swelling_along"`
	Beta2  float64 `json:"swelling_across"`
	K1     float64 `json:"conductivity_along_W_mK"`
	K2     float64 `json:"conductivity_across_W_mK"`
}

// BoundRecord bounds one constant of the bead.
type BoundRecord struct {
	Property string  `json:"property"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
}

// SurroundingsRecord is what the materials are judged in.
type SurroundingsRecord struct {
	TemperatureC       float64 `json:"temperature_C"`
	Conditioned        bool    `json:"conditioned"`
	PlasticModulus     float64 `json:"plastic_modulus_MPa"`
	PlasticTension     float64 `json:"plastic_tension_MPa"`
	PlasticCompression float64 `json:"plastic_compression_MPa"`
	PlasticShear       float64 `json:"plastic_shear_MPa"`
	GrowthAlong        float64 `json:"growth_along,omitempty" jsonschema_description:"strain of a free bead by its moisture, against the dry print; conditioned alone"`
	GrowthAcross       float64 `json:"growth_across,omitempty"`
	LimitC             float64 `json:"plastic_limit_C,omitempty" jsonschema_description:"heat-deflection temperature"`
}
