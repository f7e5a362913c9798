package material_test

import (
	"fmt"
	"log"

	"sinew/card"
	"sinew/cards"
	"sinew/material"
)

// load reads a built-in card.
func load(name string) *card.Card {
	data, err := cards.Files.ReadFile(name)
	if err != nil {
		log.Fatal(err)
	}
	c, err := card.Parse(data, name)
	if err != nil {
		log.Fatal(err)
	}
	return c
}

// A bead from tow and plastic, and what a cross-ply of it stands.
func Example() {
	tow, err := material.TowFromCard(load("tow/carbon-tow.toml"))
	if err != nil {
		log.Fatal(err)
	}
	plastic, err := material.PlasticFromCard(load("plastic/polyamide.toml"))
	if err != nil {
		log.Fatal(err)
	}
	law, err := material.NewLaw(material.LawSettings{
		Tow: tow, Plastic: plastic, State: material.Room(),
		Height: 0.32, SpacingMin: 0.65, SpacingMax: 2,
	})
	if err != nil {
		log.Fatal(err)
	}
	const rho = 1.5 // strands per mm
	c, e := law.Composition(rho), law.Lamina(rho)
	fmt.Printf("dry fibre %.1f %%, resin %.1f %%, plastic %.1f %%\n", 100*c.Fibre, 100*c.Resin, 100*c.Plastic)
	fmt.Printf("E1 %.1f GPa, E2 %.1f GPa\n", e.E1/1e3, e.E2/1e3)

	ply, err := material.NewPly(e, law.Strength(rho), material.Judge{})
	if err != nil {
		log.Fatal(err)
	}
	const turn = 1.5707963267948966
	stack, err := material.NewLaminate([]material.Layer{
		{Ply: ply, Thickness: 0.32}, {Ply: ply, Theta: turn, Thickness: 0.32},
		{Ply: ply, Theta: turn, Thickness: 0.32}, {Ply: ply, Thickness: 0.32},
	}, 0)
	if err != nil {
		log.Fatal(err)
	}
	pull := material.Load{Force: [3]float64{100, 0, 0}} // N/mm
	first := stack.First(material.Puck, pull)
	fmt.Printf("first: layer %d, %v, reserve %.2f\n", first.Layer, first.Mode, first.Reserve)
	way, err := stack.Collapse(material.Degrade{Criterion: material.Puck}, pull)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("collapse at %.2f; %v\n", way.Load, stack.Balance())
	// Output:
	// dry fibre 26.7 %, resin 21.1 %, plastic 51.5 %
	// E1 63.2 GPa, E2 4.0 GPa
	// first: layer 1, between fibres, crack opens (mode A), reserve 3.17
	// collapse at 5.34; symmetric; balanced
}
