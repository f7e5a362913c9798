package job

// Record is what a job's run found: out/result.json and the answer to --json.
// It holds no clock reading and no path of this machine: the same input gives
// the same bytes. Reserve factors are load at failure over required load.
type Record struct {
	Job       string           `json:"job" jsonschema_description:"name of the job"`
	InputHash string           `json:"input_hash" jsonschema_description:"SHA-256 over job file, drawing and cards"`
	Version   string           `json:"version" jsonschema_description:"version of the program"`
	Inputs    []InputRecord    `json:"inputs" jsonschema_description:"every file and card that went in"`
	Part      PartRecord       `json:"part"`
	Mesh      MeshRecord       `json:"mesh" jsonschema_description:"the mesh of the analysis and how it was refined"`
	Bead      *BeadRecord      `json:"bead,omitempty"`
	Layup     *LayupRecord     `json:"layup,omitempty"`
	Cases     []CaseRecord     `json:"cases"`
	Equations *EquationsRecord `json:"equations,omitempty" jsonschema_description:"how the equations of the print were solved"`
	Designs   []DesignRecord   `json:"designs"`
	Strength  *StrengthRecord  `json:"strength,omitempty" jsonschema_description:"how failure was judged, and what lies behind the margins of the print"`
	Ratios    []RatioRecord    `json:"ratios" jsonschema_description:"the part as printed over the other fibre designs, case by case"`
	Strands   *StrandRecord    `json:"strands,omitempty"`
	Fit       *FitRecord       `json:"fit,omitempty"`
	Findings  []FindingRecord  `json:"findings"`
	Probes    []ProbeRecord    `json:"probes"`
	Plate     *PlateRecord     `json:"plate,omitempty"`
	Program   *ProgramRecord   `json:"program,omitempty"`
	Printers  []PrinterRecord  `json:"printers,omitempty" jsonschema_description:"the job's printer and those it is compared with"`
	Verdict   *VerdictRecord   `json:"verdict,omitempty"`
	Warnings  []string         `json:"warnings"`
}

// InputRecord names one input with its hash.
type InputRecord struct {
	Name   string `json:"name"`
	Kind   string `json:"kind" jsonschema:"enum=job,enum=drawing,enum=solid,enum=card"`
	Title  string `json:"title,omitempty"`
	SHA256 string `json:"sha256"`
}

// PartRecord describes the part.
type PartRecord struct {
	ThicknessMM float64         `json:"thickness_mm"`
	AreaMM2     float64         `json:"area_mm2"`
	Box         [4]float64      `json:"box_mm" jsonschema_description:"least x, least y, greatest x, greatest y"`
	Features    []FeatureRecord `json:"features"`
	Notes       []string        `json:"notes,omitempty" jsonschema_description:"what was repaired or left out when the drawing was read"`
}

// FeatureRecord describes one named feature.
type FeatureRecord struct {
	Name       string  `json:"name"`
	Kind       string  `json:"kind" jsonschema:"enum=hole,enum=side"`
	X          float64 `json:"x_mm"`
	Y          float64 `json:"y_mm"`
	DiameterMM float64 `json:"diameter_mm,omitempty"`
	LengthMM   float64 `json:"length_mm"`
}

// BeadRecord is what the bead is made of at the mean spacing.
type BeadRecord struct {
	SpacingMM        float64            `json:"spacing_mm"`
	HeightMM         float64            `json:"height_mm"`
	TowShare         float64            `json:"tow_share"`
	DryFibreShare    float64            `json:"dry_fibre_share"`
	ThermosetShare   float64            `json:"thermoset_share"`
	PlasticShare     float64            `json:"plastic_share"`
	VoidShare        float64            `json:"void_share"`
	FibreMassShare   float64            `json:"dry_fibre_mass_share"`
	ResinMassShare   float64            `json:"thermoset_mass_share"`
	PlasticMassShare float64            `json:"plastic_mass_share"`
	PlasticFeed      float64            `json:"plastic_mm3_per_mm" jsonschema_description:"plastic to feed per mm of strand"`
	MassPerMetre     float64            `json:"mass_g_per_m"`
	DensityGCM3      float64            `json:"density_g_cm3"`
	E1               float64            `json:"E1_MPa"`
	E2               float64            `json:"E2_MPa"`
	G12              float64            `json:"G12_MPa"`
	Nu12             float64            `json:"nu12"`
	Xt               float64            `json:"Xt_MPa"`
	Xc               float64            `json:"Xc_MPa"`
	Yt               float64            `json:"Yt_MPa"`
	Yc               float64            `json:"Yc_MPa"`
	S                float64            `json:"S_MPa"`
	Sis              float64            `json:"interlaminar_shear_MPa"`
	Zt               float64            `json:"through_thickness_tension_MPa"`
	G23              float64            `json:"G23_MPa"`
	Nu23             float64            `json:"nu23"`
	Alpha1           float64            `json:"alpha1_per_K"`
	Alpha2           float64            `json:"alpha2_per_K"`
	Beta1            float64            `json:"swelling_along" jsonschema_description:"strain per mass share of moisture in the bead"`
	Beta2            float64            `json:"swelling_across"`
	K1               float64            `json:"conductivity_along_W_mK"`
	K2               float64            `json:"conductivity_across_W_mK"`
	Compression      []MechanismRecord  `json:"compression" jsonschema_description:"what may decide Xc, the governing one first, before measured figures and knock-downs; empty for a stated law"`
	Steps            []BodyRecord       `json:"steps" jsonschema_description:"the bodies on the way from filament and resin to the bead, before measured figures and knock-downs"`
	Figures          []FigureOfRecord   `json:"figures" jsonschema_description:"where each figure of the bead comes from"`
	Methods          []MethodRecord     `json:"methods" jsonschema_description:"the bead by every method, before measured figures and knock-downs"`
	Bounds           []BoundRecord      `json:"bounds" jsonschema_description:"what the constants can be, however the tows lie"`
	Surroundings     SurroundingsRecord `json:"surroundings"`
}

// FigureOfRecord says how one figure came about.
type FigureOfRecord struct {
	Property string  `json:"property"`
	Value    float64 `json:"value"`
	Unit     string  `json:"unit"`
	How      string  `json:"how" jsonschema:"enum=measured,enum=published,enum=estimated,enum=assumed"`
	Source   string  `json:"source" jsonschema_description:"of a computed figure its formula with the numbers put in, and every knock-down in it"`
	Date     string  `json:"date,omitempty" jsonschema_description:"of a card's value"`
}

// MechanismRecord is one way to fail in compression along the fibres.
type MechanismRecord struct {
	Name   string  `json:"name" jsonschema:"enum=kinking,enum=buckling,enum=crushing"`
	Stress float64 `json:"stress_MPa"`
}

// BodyRecord is one of the bodies from filament to bead.
type BodyRecord struct {
	Name    string  `json:"name" jsonschema:"enum=filament,enum=resin,enum=tow,enum=plastic,enum=bead"`
	Of      string  `json:"of,omitempty" jsonschema_description:"the body within it whose volume share is given"`
	Share   float64 `json:"share,omitempty"`
	Voids   float64 `json:"void_share"`
	E1      float64 `json:"E1_MPa"`
	E2      float64 `json:"E2_MPa"`
	G12     float64 `json:"G12_MPa"`
	G23     float64 `json:"G23_MPa"`
	Nu12    float64 `json:"nu12"`
	Alpha1  float64 `json:"alpha1_per_K"`
	Alpha2  float64 `json:"alpha2_per_K"`
	Beta1   float64 `json:"swelling_along"`
	Beta2   float64 `json:"swelling_across"`
	K1      float64 `json:"conductivity_along_W_mK"`
	K2      float64 `json:"conductivity_across_W_mK"`
	Density float64 `json:"density_g_cm3"`
}

// LayupRecord lists the layers bottom to top.
type LayupRecord struct {
	Layers []LayerRecord `json:"layers"`
	Mix    *MixRecord    `json:"mix,omitempty" jsonschema_description:"what the search for the layer mix found"`
	// Refinement is nil where none was asked for.
	Refinement   *RefinementRecord  `json:"refinement,omitempty"`
	FirstGuesses []FirstGuessRecord `json:"first_guesses,omitempty" jsonschema_description:"of each steered family"`
	Notes        []string           `json:"notes,omitempty"`
}

// FirstGuessRecord says where the phase of a steered family comes from.
type FirstGuessRecord struct {
	Family string             `json:"family"`
	Kept   string             `json:"kept" jsonschema_description:"first guess that the strands come from, and the way it was fitted"`
	Tried  []GuessTrialRecord `json:"tried" jsonschema_description:"all that were tried, in the order of their worth as planned"`
	Drawn  []DrawnTrialRecord `json:"drawn,omitempty" jsonschema_description:"those that were fitted to their end, drawn and judged as printed"`
}

// GuessTrialRecord is a first guess that was tried.
type GuessTrialRecord struct {
	Guess   string  `json:"guess"`
	Measure float64 `json:"measure,omitempty" jsonschema_description:"after two rounds, as planned; lower is better; none where it was the only one"`
}

// DrawnTrialRecord is one that was drawn.
type DrawnTrialRecord struct {
	Guess     string  `json:"guess"`
	LengthMM  float64 `json:"length_mm" jsonschema_description:"of fibre in one layer, as planned"`
	Objective float64 `json:"objective" jsonschema_description:"of the refinement's goal, as printed; lower is better"`
	Kept      bool    `json:"kept,omitempty"`
}

// RefinementRecord tells how the steered families were refined.
type RefinementRecord struct {
	Objective []float64 `json:"objective" jsonschema_description:"after each step, the least-squares answer first"`
	Kept      int       `json:"kept" jsonschema_description:"step that is laid: the best as printed"`
	Turning   float64   `json:"turning" jsonschema_description:"total turning of the strands over that of the least-squares answer, the greatest of all families"`
}

// LayerRecord is one printed layer.
type LayerRecord struct {
	Index    int     `json:"index"`
	Kind     string  `json:"kind" jsonschema:"enum=plastic,enum=composite"`
	Family   string  `json:"family,omitempty"`
	TopMM    float64 `json:"top_mm"`
	HeightMM float64 `json:"height_mm"`
	Strands  int     `json:"strands"`
	LengthMM float64 `json:"strand_length_mm"`
}

// CaseRecord describes one load case and how well its solution balances.
type CaseRecord struct {
	Name      string       `json:"name"`
	Factor    float64      `json:"factor"`
	Imbalance float64      `json:"imbalance" jsonschema_description:"|applied + reactions| / |applied|"`
	Residual  float64      `json:"residual" jsonschema_description:"|K u - f| / (|K||u| + |f|)"`
	Reactions [][3]float64 `json:"reactions" jsonschema_description:"per support: Fx N, Fy N, moment N mm"`
}

// EquationsRecord tells how the equations of the print were solved.
type EquationsRecord struct {
	Unknowns  int     `json:"unknowns"`
	Bytes     int     `json:"factor_bytes" jsonschema_description:"memory that a factorisation takes on one worker, by the estimate before it"`
	Iterated  bool    `json:"iterated" jsonschema_description:"solved step by step, as a factorisation would take more than analysis.memory"`
	Condition float64 `json:"condition" jsonschema_description:"estimate of |K||K⁻¹|, from below: errors of the loads and of rounding grow by so much at worst; 0 where iterated"`
}

// DesignRecord is one way of making the part.
type DesignRecord struct {
	ID           string             `json:"id" jsonschema_description:"printed, planned, quasi-isotropic, straight, straight-printed, or the id of a card"`
	Name         string             `json:"name"`
	MassG        float64            `json:"mass_g"`
	FibreLengthM float64            `json:"fibre_length_m"`
	TimeS        float64            `json:"time_s,omitempty"`
	Cost         float64            `json:"cost,omitempty"`
	Stiffness    float64            `json:"stiffness_N_mm" jsonschema_description:"of the first case"`
	Governing    *MarginRecord      `json:"governing,omitempty" jsonschema_description:"least reserve factor of all cases"`
	Cases        []DesignCaseRecord `json:"cases"`
	Note         string             `json:"note,omitempty"`
}

// DesignCaseRecord is one design under one case.
type DesignCaseRecord struct {
	Case      string          `json:"case"`
	Stiffness float64         `json:"stiffness_N_mm"`
	Margins   []MarginRecord  `json:"margins"`
	Rules     []RuleRecord    `json:"by_notch_rule"`
	Joints    []JointRecord   `json:"joints"`
	Collapse  *CollapseRecord `json:"collapse,omitempty"`
}

// RatioRecord sets the part as printed against another design under one case:
// its figure over the other's; 0 where one of them has none.
type RatioRecord struct {
	Against   string  `json:"against"`
	Case      string  `json:"case"`
	Fibre     float64 `json:"first_fibre_failure"`
	Matrix    float64 `json:"first_matrix_failure"`
	Stiffness float64 `json:"stiffness"`
	PerMass   float64 `json:"first_fibre_failure_per_mass"`
}

// MarginRecord is one reserve factor with its place.
type MarginRecord struct {
	Case        string  `json:"case,omitempty"`
	Mode        string  `json:"mode"`
	Reserve     float64 `json:"reserve_factor"`
	Peak        float64 `json:"reserve_factor_of_peak,omitempty" jsonschema_description:"from the unaveraged peak: does not converge with the mesh, for orientation"`
	X           float64 `json:"x_mm"`
	Y           float64 `json:"y_mm"`
	Layer       int     `json:"composite_layer" jsonschema_description:"-1: the whole thickness"`
	AngleDeg    float64 `json:"layer_angle_deg"`
	Feature     string  `json:"feature,omitempty"`
	KnockDown   float64 `json:"knock_down" jsonschema_description:"product of the knock-downs in the allowable; 1: none"`
	KnockDownOf string  `json:"knock_down_of,omitempty" jsonschema_description:"the factors of that product, each with its name"`
	// Stress and Allowable are what the reserve was found from; see proof.Margin.
	Stress    [3]float64 `json:"stress_MPa" jsonschema_description:"that was judged, a mean over the judging distance: along, across and in shear of the layer; of plain material in part axes 11, 22, 12; between layers xz, yz"`
	Allowable []float64  `json:"allowable_MPa" jsonschema_description:"at the place, knock-downs in it: fibre modes, metals, bearing, between layers one strength; matrix that across the fibres by the sign of the stress and that in shear; plastic tension and compression"`
}

// StrandRecord sums up the strands.
type StrandRecord struct {
	Count       int     `json:"count"`
	Cuts        int     `json:"cuts"`
	CornerPull  float64 `json:"corner_pull_mm,omitempty" jsonschema_description:"how far inside of the nozzle's path bends lie at most; the path allows for it"`
	HalfTurns   int     `json:"half_turns,omitempty" jsonschema_description:"half-turns that join ends of strands; each saves a cut"`
	LengthM     float64 `json:"length_m"`
	ShortestMM  float64 `json:"shortest_mm"`
	MinRadiusMM float64 `json:"min_radius_mm"`
	SpacingLo   float64 `json:"spacing_min_mm"`
	SpacingHi   float64 `json:"spacing_max_mm"`
	WithinShare float64 `json:"spacing_within_limits_share" jsonschema_description:"share of strand length whose bead width is within the printer's limits"`
}

// FindingRecord is one finding.
type FindingRecord struct {
	ID       string  `json:"id"`
	Severity string  `json:"severity" jsonschema:"enum=note,enum=warn,enum=stop"`
	Layer    int     `json:"layer"`
	X        float64 `json:"x_mm"`
	Y        float64 `json:"y_mm"`
	Count    int     `json:"count"`
	What     string  `json:"what"`
	Remedy   string  `json:"remedy"`
	Allowed  bool    `json:"allowed,omitempty" jsonschema_description:"the user let it pass by its id"`
}

// ProbeRecord is the answer of the plane at one probe under one case; what
// bends stands in PlateProbeRecord.
type ProbeRecord struct {
	Name      string     `json:"name"`
	Case      string     `json:"case"`
	U         [2]float64 `json:"displacement_mm"`
	Strain    float64    `json:"strain_along,omitempty" jsonschema_description:"as a strain gauge at the probe's angle reads it"`
	Stress    [3]float64 `json:"stress_MPa,omitempty" jsonschema_description:"mean over the thickness: 11, 22, 12 in part axes"`
	Reaction  [2]float64 `json:"reaction_N,omitempty"`
	OnFeature bool       `json:"on_feature"`
}

// ProgramRecord sums up the machine program.
type ProgramRecord struct {
	File      string       `json:"file"`
	Bytes     int          `json:"bytes"`
	SHA256    string       `json:"sha256"`
	TimeS     float64      `json:"time_s"`
	LengthM   float64      `json:"length_m" jsonschema_description:"of tow laid"`
	PlasticG  float64      `json:"plastic_g"`
	TowG      float64      `json:"tow_g"`
	Cuts      int          `json:"cuts"`
	Swaps     int          `json:"tool_swaps"`
	Cost      float64      `json:"cost"`
	CostParts []CostRecord `json:"cost_parts"`
	ReadBack  ReadBack     `json:"read_back"`

	Copies       int                 `json:"copies" jsonschema_description:"parts in this print; all other figures are those of the whole print"`
	TimeEachS    float64             `json:"time_each_s" jsonschema_description:"of the print over its copies"`
	CostEach     float64             `json:"cost_each"`
	EnergyKWh    float64             `json:"energy_kWh,omitempty" jsonschema_description:"where the printer's card gives its power"`
	Times        []TimeRecord        `json:"times" jsonschema_description:"time by activity"`
	TowUsedM     float64             `json:"tow_used_m" jsonschema_description:"off the spool: what is laid and what restarts feed beyond it"`
	PlasticOfG   [2]float64          `json:"plastic_of_nozzle_g" jsonschema_description:"from the plastic nozzle's spool, from the composite nozzle's"`
	SpoolChanges []SpoolChangeRecord `json:"spool_changes,omitempty" jsonschema_description:"places at which a spool is used up"`
}

// TimeRecord is the time of one activity.
type TimeRecord struct {
	What  string  `json:"what"`
	TimeS float64 `json:"time_s"`
}

// SpoolChangeRecord is one change of a spool.
type SpoolChangeRecord struct {
	What   string  `json:"what" jsonschema:"enum=tow,enum=plastic"`
	Nozzle string  `json:"nozzle"`
	Layer  int     `json:"layer"`
	Before int     `json:"before" jsonschema_description:"the strand or bead of the layer before which it is changed"`
	TimeS  float64 `json:"time_s"`
}

// CostRecord is one part of the price.
type CostRecord struct {
	What string  `json:"what"`
	Cost float64 `json:"cost"`
}

// ReadBack says how the program, read again from its text alone, agrees with
// the plan.
type ReadBack struct {
	Strands          int     `json:"strands"`
	Cuts             int     `json:"cuts"`
	WorstLengthMM    float64 `json:"worst_length_difference_mm"`
	VolumeDifference float64 `json:"plastic_volume_difference_share"`
	Agrees           bool    `json:"agrees"`
}

// VerdictRecord says whether the part meets what the job requires.
type VerdictRecord struct {
	Passes  bool     `json:"passes"`
	Reasons []string `json:"reasons"`
}

// RunRecord is out/run.json: what depends on the clock and the machine.
type RunRecord struct {
	Command string             `json:"command"`
	Started string             `json:"started"`
	Seconds map[string]float64 `json:"seconds_by_stage"`
	Reused  []string           `json:"stages_reused"`
	Workers int                `json:"workers"`
}
