// Package part is the thing to be designed: a region with a thickness, its
// named features, supports, load cases and probes.
package part

import "sinew/geom"

// Part is a plate-like part with everything that acts on it. Features are
// referred to by index.
type Part struct {
	Name      string
	Region    geom.Region
	Thickness float64 // mm; with slabs their whole height
	Slabs     []Slab  // bottom to top, of a part whose outline changes with height; nil: it does not
	Features  []Feature
	Supports  []Support
	Cases     []Case
	Probes    []Probe
}

// FeatureKind tells holes from stretches of outline.
type FeatureKind int

// The kinds of feature.
const (
	Hole FeatureKind = iota // one whole inner loop
	Side                    // a connected run of edges of one loop
)

// Feature is a named piece of the boundary.
type Feature struct {
	Name     string
	Kind     FeatureKind
	Loop     int   // into Region.Loops()
	Edges    []int // into that loop
	Center   geom.Point
	Diameter float64 // of a round hole, else 0
}

// SupportKind tells how a feature is held.
type SupportKind int

// The kinds of support.
const (
	Fixed   SupportKind = iota // no displacement at all
	Pinned                     // the feature keeps its shape and place but may turn about its centre
	Sliding                    // no displacement along Angle, free across it
	Resting                    // free in the part's plane; held across it alone
)

// Support holds a feature.
type Support struct {
	Feature int
	Kind    SupportKind
	Angle   float64 // of the held direction of a Sliding support, rad
	Across  Across  // how it holds against bending
	// Spoke is the stiffness of the bolt that holds a Pinned feature, N/mm for
	// each mm of its rim; 0: rigid.
	Spoke float64
}

// LoadKind tells how a force enters a feature.
type LoadKind int

// The kinds of load.
const (
	Bearing  LoadKind = iota // cosine pressure on the half of a hole that the force presses on
	Even                     // force spread evenly over the feature's length
	Traction                 // N/mm² on the thickness face: Force is per mm² of it
	Pressure                 // along the inward normal; Force.X holds the pressure, N/mm²
	Grip                     // the feature moves as one along the force and not across it; Force is its total
	HalfPin                  // a rigid pin without friction: the half of a hole that the force presses on follows it
	Bolt                     // the feature moves as a rigid body, like one tied by spokes to a bolt, which takes the load
)

// Load is one force on one feature, part axes.
type Load struct {
	Feature int
	Kind    LoadKind
	Force   geom.Point // N (or N/mm²: see the kind)
	// Out and Moment of an Even or a Bolt load act across the part's plane: a
	// force along z, N, and a moment about the axes x and y, N mm.
	Out    float64
	Moment geom.Point
	// Spoke is the stiffness of a Bolt's spokes, N/mm for each mm of rim; 0: rigid.
	Spoke float64
}

// Case is a load case. Factor multiplies all of it: the required load.
type Case struct {
	Name         string
	Factor       float64
	Loads        []Load
	Acceleration geom.Point // mm/s², acts as body force -density·a on the part's mass; gravity is (0, 9810) for "down is -y"
	Heat         Heat       // change of temperature
	Bending      Bending    // what acts across the part's plane besides the loads
	Spin         Spin
}

// Probe is a place at which the user wants the answer.
type Probe struct {
	Name    string
	Feature int        // -1: At is meant
	At      geom.Point // a point of the part
	Angle   float64    // of the strain gauge, rad
}
