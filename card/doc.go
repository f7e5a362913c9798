// Package card reads material and printer cards: TOML files in which each
// value carries its unit and its source.
//
//	schema = "sinew-card/1"
//	kind = "plastic"
//	id = "example-plastic"
//	title = "A plastic"
//	version = "1"
//	note = "…"
//
//	[value]
//	density = { is = "1.14 g/cm³", source = "common practice", date = "2026-11" }
//	modulus = { points = [["23 °C", "2.3 GPa"], ["60 °C", "1.0 GPa"]], source = "invented" }
//
// [Parse] checks the form: schema, kind, names, that each value has a source,
// no unknown key. Which values a card must have is for the room that uses it
// to say: it takes a [Reader], asks for each value by key, kind of quantity
// and range, and [Reader.Done] gives all faults at once, keys that nobody
// asked for among them. So a misspelt key cannot pass as a left-out one.
//
// Not checked here: whether a source is true, and whether values fit one
// another.
package card
