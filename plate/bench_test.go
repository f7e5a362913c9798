package plate

import (
	"context"
	"fmt"
	"math"
	"testing"

	"sinew/material"
	"sinew/part"
)

// benchSystem is a square of n by n cells of two elements, clamped at one end.
func benchSystem(b *testing.B, n int) (*System, Section) {
	b.Helper()
	p := &part.Part{Thickness: 1, Features: sides(), Supports: []part.Support{{Feature: left}},
		Cases: []part.Case{{Name: "press", Factor: 1, Bending: part.Bending{Pressure: 0.01}}}}
	s, err := NewSystem(rectangle(n, n, 100, 100), p, Settings{})
	if err != nil {
		b.Fatal(err)
	}
	ply, err := material.NewPly(material.Lamina{E1: 181e3, E2: 10.3e3, G12: 7.17e3, Nu12: 0.28, G13: 7.17e3, G23: 4e3}, anyStrength, material.Judge{})
	if err != nil {
		b.Fatal(err)
	}
	l, err := material.NewLaminate([]material.Layer{{Ply: ply, Thickness: 1}, {Ply: ply, Theta: math.Pi / 2, Thickness: 1}}, 0)
	if err != nil {
		b.Fatal(err)
	}
	return s, FromLaminate(l)
}

func BenchmarkAssembly(b *testing.B) {
	for _, n := range []int{16, 32, 64} {
		b.Run(fmt.Sprintf("elements=%d", 2*n*n), func(b *testing.B) {
			s, section := benchSystem(b, n)
			b.ReportAllocs()
			for b.Loop() {
				s.sets[0].AssembleTo(s.sets[0].Matrix, true, s.stiffness(&section))
			}
		})
	}
}

func BenchmarkSolve(b *testing.B) {
	for _, n := range []int{16, 32, 64} {
		b.Run(fmt.Sprintf("elements=%d", 2*n*n), func(b *testing.B) {
			s, section := benchSystem(b, n)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := s.Solve(context.Background(), &section); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkFollow bends a clamped square to about twice its thickness.
func BenchmarkFollow(b *testing.B) {
	for _, n := range []int{8, 16, 32} {
		b.Run(fmt.Sprintf("elements=%d", 2*n*n), func(b *testing.B) {
			p := simply(part.Case{Name: "press", Factor: 1, Bending: part.Bending{Pressure: 0.02}})
			for i := range 2 {
				p.Supports[i].Kind, p.Supports[i].Across = part.Fixed, part.Clamped
			}
			s, err := NewSystem(rectangle(n, n, 50, 50), p, Settings{})
			if err != nil {
				b.Fatal(err)
			}
			section := Homogeneous(isotropic(70e3, 0.3), 0.5)
			b.ReportAllocs()
			for b.Loop() {
				path, err := s.Follow(context.Background(), &section, 0, FollowSettings{Steps: 4})
				if err != nil || !path.Reached {
					b.Fatal(err)
				}
				count := 0
				for _, q := range path.Points {
					count += q.Iterations
				}
				b.ReportMetric(float64(count), "iterations")
				w, _ := s.Greatest(&path.Last)
				b.ReportMetric(w, "mm")
			}
		})
	}
}
