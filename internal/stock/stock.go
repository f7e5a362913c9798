// Package stock reads cards for tests: the built-in ones, as they are or with
// some of their text exchanged, and such as a test makes.
package stock

import (
	"strings"
	"testing"

	"sinew/card"
	"sinew/cards"
)

// Text is the text of a built-in card, such as "printer/twin-nozzle", with
// pairs of old and new text exchanged, each in its first place. It panics where
// there is no such card or no such text: that is a mistake of the test.
func Text(name string, pairs ...string) string {
	data, err := cards.Files.ReadFile(name + ".toml")
	if err != nil {
		panic(err)
	}
	text := string(data)
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			panic(name + " does not hold " + pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

// Card parses the text of a card.
func Card(tb testing.TB, text string) *card.Card {
	tb.Helper()
	c, err := card.Parse([]byte(text), "card.toml")
	if err != nil {
		tb.Fatalf("%v\n%s", err, text)
	}
	return c
}

// Read is what a reader of cards, such as printer.FromCard, makes of the text
// of one.
func Read[T any](tb testing.TB, text string, from func(*card.Card) (T, error)) T {
	tb.Helper()
	v, err := from(Card(tb, text))
	if err != nil {
		tb.Fatalf("%v\n%s", err, text)
	}
	return v
}
