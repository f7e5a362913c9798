// Package cards holds the built-in cards as TOML files: tows, plastics,
// metals, beads, printers and knock-downs. It has no logic; package card reads
// them. A card's path is its kind and its id: "tow/carbon-tow.toml".
package cards

import "embed"

// Files holds the cards.
//
//go:embed */*.toml
var Files embed.FS
