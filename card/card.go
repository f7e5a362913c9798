// Package card reads material and printer cards: TOML files in which each
// value carries its unit and its source.
package card
