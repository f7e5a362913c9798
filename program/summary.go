package program

import "sinew/printer"

// Activity is what the machine spends time on.
type Activity int

// The activities.
const (
	Heating Activity = iota
	Swapping
	Travelling
	Retracting
	Restarting
	Anchoring
	Laying
	Cutting
	Walling
	Covering
	Patching
	Bridging
	Supporting
	SpoolChanging
	Cooling
	activities
)

// String returns the activity in words.
func (a Activity) String() string {
	return [...]string{"heating", "tool swaps", "travel", "drawing plastic back", "feeding tow down", "anchoring strands",
		"laying strands", "cutting", "walls", "covers", "patches", "bridges", "supports", "spool changes", "letting layers cool"}[a]
}

// Activities lists the activities.
func Activities() []Activity {
	out := make([]Activity, activities)
	for i := range out {
		out[i] = Activity(i)
	}
	return out
}

// Summary is what a program takes and costs.
type Summary struct {
	Bytes                int64
	Strands, Cuts, Swaps int
	Tow                  float64 // mm laid
	TowUsed              float64 // mm off the spool
	SpoolChanges         []SpoolChange
	Plastic              [2]float64          // mm³, by printer.ToolKind
	Time                 float64             // s, of the motion model
	Times                [activities]float64 // s, by Activity
	Lengths              [activities]float64 // mm, by Activity
	PlasticMass, TowMass float64             // g
	Energy               float64             // J, 0 where the card gives no power
	Cost                 float64
	CostParts            []CostPart

	used [2]bool
}

// CostPart is one part of the price.
type CostPart struct {
	What string
	Cost float64
}

// joulesPerKWh converts the energy that is paid for.
const joulesPerKWh = 3.6e6

func (w *writer) summary() *Summary {
	s := &w.sum
	s.Time = w.timer.Total()
	for i := range s.Times {
		s.Times[i] = w.timer.Class(i)
	}
	s.PlasticMass = (s.Plastic[printer.PlasticTool] + s.Plastic[printer.CompositeTool]) * w.set.PlasticDensity
	s.TowMass = s.Tow * w.set.TowLinearDensity
	s.Energy = s.Time * w.card.Power
	s.CostParts = []CostPart{
		{"tow", s.TowUsed / 1000 * w.set.TowPerMetre},
		{"plastic", s.PlasticMass / 1000 * w.set.PlasticPerKilo},
		{"machine time", s.Time / 3600 * w.card.PricePerHour},
	}
	if w.card.Power > 0 {
		s.CostParts = append(s.CostParts, CostPart{"energy", s.Energy / joulesPerKWh * w.card.EnergyPrice})
	}
	for _, p := range s.CostParts {
		s.Cost += p.Cost
	}
	return s
}
