package unit

import "math"

// Kind says what a quantity measures.
type Kind int

// The kinds of quantity, each with the unit it has inside sinew.
const (
	Length                Kind = iota // mm
	Area                              // mm²
	Volume                            // mm³
	Force                             // N
	Stress                            // MPa
	Moment                            // N·mm
	LineLoad                          // N/mm
	Angle                             // rad
	Temperature                       // °C
	TemperatureDifference             // K
	Density                           // g/mm³
	LinearDensity                     // g/mm; 1 tex is 1e-6 g/mm
	Mass                              // g
	Time                              // s
	Speed                             // mm/s
	Acceleration                      // mm/s²
	Jerk                              // mm/s³
	FlowRate                          // mm³/s
	Power                             // W
	Energy                            // J
	Expansion                         // 1/K
	Conductivity                      // W/(m·K)
	SpecificHeat                      // J/(g·K)
	Share                             // plain number; "5 %" is 0.05
	Count                             // whole number
	Price                             // plain number, in the user's currency
	PricePerKilo                      // currency per kg
	PricePerMetre                     // currency per m
	PricePerHour                      // currency per h
	Memory                            // bytes
	nKinds
)

// symbol is one way to write a unit: value inside = (number · factor + offset)
// · 10^power.
type symbol struct {
	text   string
	power  int     // of ten
	factor float64 // 0 means 1
	offset float64
}

// kindInfo describes a kind. The first symbol is the one of sinew itself or
// the one it is shown in; shown lists the symbols that Format chooses among,
// by size, smallest unit first.
type kindInfo struct {
	name, example string
	symbols       []symbol
	shown         []string
}

// Exact by definition (NIST SP 811, appendix B.8).
const (
	inch            = 25.4              // mm
	poundForce      = 4.4482216152605   // N
	standardGravity = 9806.65           // mm/s²
	psi             = 6894.757293168e-6 // MPa: pound-force per square inch, rounded
	zeroCelsius     = 273.15            // K
	degree          = math.Pi / 180     // rad
)

// info returns the table row of a kind. A switch rather than a variable, so
// that no package can change it.
func (k Kind) info() kindInfo {
	switch k {
	case Length:
		return kindInfo{"length", "4.8 mm", []symbol{{text: "mm"}, {text: "µm", power: -3}, {text: "cm", power: 1}, {text: "m", power: 3}, {text: "km", power: 6}, {text: "in", factor: inch}}, []string{"µm", "mm", "m", "km"}}
	case Area:
		return kindInfo{"area", "12 mm²", []symbol{{text: "mm²"}, {text: "µm²", power: -6}, {text: "cm²", power: 2}, {text: "m²", power: 6}, {text: "in²", factor: inch * inch}}, []string{"mm²", "m²"}}
	case Volume:
		return kindInfo{"volume", "3 cm³", []symbol{{text: "mm³"}, {text: "cm³", power: 3}, {text: "ml", power: 3}, {text: "dm³", power: 6}, {text: "l", power: 6}, {text: "m³", power: 9}}, []string{"mm³", "cm³"}}
	case Force:
		return kindInfo{"force", "2.4 kN", []symbol{{text: "N"}, {text: "mN", power: -3}, {text: "kN", power: 3}, {text: "MN", power: 6}, {text: "lbf", factor: poundForce}}, []string{"mN", "N", "kN", "MN"}}
	case Stress:
		return kindInfo{"stress", "12 MPa", []symbol{{text: "MPa"}, {text: "N/mm²"}, {text: "Pa", power: -6}, {text: "kPa", power: -3}, {text: "GPa", power: 3}, {text: "kN/mm²", power: 3}, {text: "bar", power: -1}, {text: "psi", factor: psi}, {text: "ksi", power: 3, factor: psi}}, []string{"Pa", "kPa", "MPa", "GPa"}}
	case Moment:
		return kindInfo{"moment", "30 N·m", []symbol{{text: "N·mm"}, {text: "N·m", power: 3}, {text: "Nm", power: 3}, {text: "kN·m", power: 6}}, []string{"N·mm", "N·m", "kN·m"}}
	case LineLoad:
		return kindInfo{"line load", "5 N/mm", []symbol{{text: "N/mm"}, {text: "N/m", power: -3}, {text: "kN/m"}, {text: "kN/mm", power: 3}}, []string{"N/mm", "kN/mm"}}
	case Angle:
		return kindInfo{"angle", "45 °", []symbol{{text: "°", factor: degree}, {text: "deg", factor: degree}, {text: "rad"}, {text: "mrad", power: -3}}, []string{"°"}}
	}
	return k.thermalInfo()
}

func (k Kind) thermalInfo() kindInfo {
	switch k {
	case Temperature:
		return kindInfo{"temperature", "40 °C", []symbol{{text: "°C"}, {text: "degC"}, {text: "K", offset: -zeroCelsius}, {text: "°F", factor: 5.0 / 9, offset: -160.0 / 9}}, []string{"°C"}}
	case TemperatureDifference:
		return kindInfo{"temperature difference", "-20 K", []symbol{{text: "K"}}, []string{"K"}}
	case Expansion:
		return kindInfo{"expansion", "12e-6 /K", []symbol{{text: "/K"}, {text: "1/K"}, {text: "/°C"}, {text: "1/°C"}, {text: "ppm/K", power: -6}, {text: "µm/(m·K)", power: -6}}, []string{"/K"}}
	case Conductivity:
		return kindInfo{"conductivity", "0.25 W/(m·K)", []symbol{{text: "W/(m·K)"}, {text: "W/m/K"}}, []string{"W/(m·K)"}}
	case SpecificHeat:
		return kindInfo{"specific heat", "1.7 J/(g·K)", []symbol{{text: "J/(g·K)"}, {text: "J/g/K"}, {text: "kJ/(kg·K)"}, {text: "J/(kg·K)", power: -3}}, []string{"J/(g·K)"}}
	case Power:
		return kindInfo{"power", "350 W", []symbol{{text: "W"}, {text: "mW", power: -3}, {text: "kW", power: 3}}, []string{"W", "kW"}}
	case Energy:
		return kindInfo{"energy", "1.2 kJ", []symbol{{text: "J"}, {text: "kJ", power: 3}, {text: "MJ", power: 6}, {text: "Wh", factor: 3600}, {text: "kWh", factor: 3600, power: 3}}, []string{"J", "kJ", "MJ"}}
	}
	return k.massInfo()
}

func (k Kind) massInfo() kindInfo {
	switch k {
	case Density:
		return kindInfo{"density", "1.14 g/cm³", []symbol{{text: "g/cm³", power: -3}, {text: "g/mm³"}, {text: "kg/m³", power: -6}, {text: "kg/dm³", power: -3}, {text: "t/m³", power: -3}, {text: "g/ml", power: -3}}, []string{"g/cm³"}}
	case LinearDensity:
		return kindInfo{"linear density", "102 tex", []symbol{{text: "tex", power: -6}, {text: "dtex", power: -7}, {text: "g/km", power: -6}, {text: "g/m", power: -3}, {text: "g/mm"}}, []string{"tex"}}
	case Mass:
		return kindInfo{"mass", "35 g", []symbol{{text: "g"}, {text: "mg", power: -3}, {text: "kg", power: 3}, {text: "t", power: 6}}, []string{"mg", "g", "kg"}}
	case PricePerKilo:
		return kindInfo{"price by mass", "45 /kg", []symbol{{text: "/kg"}, {text: "/g", power: 3}}, []string{"/kg"}}
	case PricePerMetre:
		return kindInfo{"price by length", "1.2 /m", []symbol{{text: "/m"}, {text: "/km", power: -3}}, []string{"/m"}}
	case PricePerHour:
		return kindInfo{"price by time", "25 /h", []symbol{{text: "/h"}, {text: "/min", factor: 60}}, []string{"/h"}}
	}
	return k.motionInfo()
}

func (k Kind) motionInfo() kindInfo {
	switch k {
	case Time:
		return kindInfo{"time", "90 s", []symbol{{text: "s"}, {text: "ms", power: -3}, {text: "min", factor: 60}, {text: "h", factor: 3600}, {text: "d", factor: 86400}}, []string{"ms", "s"}}
	case Speed:
		return kindInfo{"speed", "30 mm/s", []symbol{{text: "mm/s"}, {text: "m/s", power: 3}, {text: "cm/s", power: 1}, {text: "mm/min", factor: 1.0 / 60}, {text: "m/min", power: 3, factor: 1.0 / 60}}, []string{"mm/s", "m/s"}}
	case Acceleration:
		return kindInfo{"acceleration", "9.81 m/s²", []symbol{{text: "mm/s²"}, {text: "m/s²", power: 3}, {text: "g", factor: standardGravity}}, []string{"mm/s²", "m/s²"}}
	case Jerk:
		return kindInfo{"jerk", "8 m/s³", []symbol{{text: "mm/s³"}, {text: "m/s³", power: 3}}, []string{"mm/s³", "m/s³"}}
	case FlowRate:
		return kindInfo{"flow rate", "12 mm³/s", []symbol{{text: "mm³/s"}, {text: "cm³/s", power: 3}, {text: "mm³/min", factor: 1.0 / 60}, {text: "cm³/min", power: 3, factor: 1.0 / 60}, {text: "ml/min", power: 3, factor: 1.0 / 60}}, []string{"mm³/s", "cm³/s"}}
	case Memory:
		return kindInfo{"amount of memory", "4 GiB", []symbol{{text: "B"}, {text: "kB", power: 3}, {text: "MB", power: 6}, {text: "GB", power: 9}, {text: "KiB", factor: 1 << 10}, {text: "MiB", factor: 1 << 20}, {text: "GiB", factor: 1 << 30}}, []string{"B", "KiB", "MiB", "GiB"}}
	case Share:
		return kindInfo{"share", "5 %", []symbol{{text: ""}, {text: "%", power: -2}}, []string{""}}
	case Count:
		return kindInfo{"count", "3", []symbol{{text: ""}}, []string{""}}
	case Price:
		return kindInfo{"price", "12.50", []symbol{{text: ""}}, []string{""}}
	}
	panic("unit: no such kind")
}

// Kinds returns all kinds, for tables and documents.
func Kinds() []Kind {
	all := make([]Kind, nKinds)
	for i := range all {
		all[i] = Kind(i)
	}
	return all
}

// String returns the name of the kind, such as "temperature difference".
func (k Kind) String() string { return k.info().name }

// Example returns a quantity of the kind as a user may write it.
func (k Kind) Example() string { return k.info().example }

// Symbols returns the unit symbols that Parse accepts for the kind. The empty
// symbol means a plain number.
func (k Kind) Symbols() []string {
	var list []string
	for _, s := range k.info().symbols {
		list = append(list, s.text)
	}
	return list
}
