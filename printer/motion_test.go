package printer

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"sinew/geom"
)

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

// A move from rest to rest: v/a + s/v where the feed is reached, 2·sqrt(s/a)
// where it is not.
func TestTimeClosedForm(t *testing.T) {
	c := &Card{Acceleration: 500, CornerStep: 5}
	rows := []struct {
		name string
		path []geom.Point
		feed float64
		want float64
	}{
		{"feed reached", []geom.Point{pt(0, 0), pt(100, 0)}, 50, 50.0/500 + 100.0/50},
		{"feed not reached", []geom.Point{pt(0, 0), pt(1, 0)}, 50, 2 * math.Sqrt(1.0/500)},
		{"split in three in line", []geom.Point{pt(0, 0), pt(0.2, 0), pt(70, 0), pt(100, 0)}, 50, 50.0/500 + 100.0/50},
		{"square corner", []geom.Point{pt(0, 0), pt(50, 0), pt(50, 50)}, 50, cornerTime(50, 50, 500, 5/math.Sqrt2)},
		{"there and back", []geom.Point{pt(0, 0), pt(50, 0), pt(0, 0)}, 50, cornerTime(50, 50, 500, 2.5)},
		{"no way at all", []geom.Point{pt(3, 4), pt(3, 4)}, 50, 0},
	}
	for _, row := range rows {
		if got := c.Time(row.path, row.feed); math.Abs(got-row.want) > 1e-12*(1+row.want) {
			t.Errorf("%s: %v s, want %v", row.name, got, row.want)
		}
	}
}

// cornerTime is twice a move of length s from rest to the corner's speed u.
func cornerTime(s, v, a, u float64) float64 {
	ways := v*v/(2*a) + (v*v-u*u)/(2*a)
	return 2 * (v/a + (v-u)/a + (s-ways)/v)
}

// simulate steps through time: at each step it speeds up unless it must brake
// for a corner, a slower move or the end, however far ahead.
func simulate(m Motion, moves []Move) float64 {
	type gate struct{ at, v2 float64 }
	var gates []gate
	at := 0.0
	for i, mv := range moves {
		g := gate{at, mv.Feed * mv.Feed}
		if i > 0 {
			p := moves[i-1]
			dot := 0.0
			for k := range 3 {
				dot += p.D[k] * mv.D[k]
			}
			turn := math.Acos(math.Max(-1, math.Min(1, dot/(p.Length()*mv.Length()))))
			if s := 2 * math.Sin(turn/2); s > 1e-12 {
				g.v2 = math.Min(g.v2, m.CornerStep*m.CornerStep/(s*s))
			}
		}
		gates = append(gates, g)
		at += mv.Length()
	}
	gates = append(gates, gate{at, 0})
	const dt = 2e-5
	s, v, now, k := 0.0, 0.0, 0.0, 0
	for k < len(moves) {
		limit := moves[k].Feed
		for j := k + 1; j < len(gates) && j < k+400; j++ {
			limit = math.Min(limit, math.Sqrt(gates[j].v2+2*m.Acceleration*math.Max(0, gates[j].at-s)))
		}
		v = math.Max(math.Min(v+m.Acceleration*dt, limit), m.Acceleration*dt)
		s += v * dt
		now += dt
		for k < len(moves) && s >= gates[k+1].at {
			k++
		}
	}
	return now
}

func randomMoves(r *rand.Rand, n int) []Move {
	angle, out := 0.0, make([]Move, n)
	for i := range out {
		angle += r.NormFloat64() * 0.4
		if r.Intn(9) == 0 {
			angle += r.Float64() * 6
		}
		l := 0.05 + 3*r.Float64()*r.Float64()
		out[i] = Move{D: [3]float64{l * math.Cos(angle), l * math.Sin(angle), 0}, Feed: 5 + 60*r.Float64()}
	}
	return out
}

func TestTimeAgainstSimulation(t *testing.T) {
	for seed := range int64(6) {
		moves := randomMoves(rand.New(rand.NewSource(seed)), 150)
		m := Motion{Acceleration: 300 + 300*float64(seed), CornerStep: 1 + 2*float64(seed)}
		tm := NewTimer(m)
		for _, mv := range moves {
			tm.Add(mv, 0)
		}
		tm.Stop()
		want := simulate(m, moves)
		if got := tm.Total(); math.Abs(got-want) > 0.01*want {
			t.Errorf("seed %d: %v s, simulated %v s", seed, got, want)
		}
	}
}

// Holding only a window of moves does not change the time: the same path with
// collinear halves gives twice the moves and windows elsewhere.
func TestTimeWindow(t *testing.T) {
	moves := randomMoves(rand.New(rand.NewSource(9)), 5000)
	whole, halved := NewTimer(Motion{800, 6}), NewTimer(Motion{800, 6})
	for _, m := range moves {
		whole.Add(m, 1)
		h := m
		for k := range h.D {
			h.D[k] /= 2
		}
		halved.Add(h, 1)
		halved.Add(h, 1)
	}
	whole.Stop()
	halved.Stop()
	if a, b := whole.Class(1), halved.Class(1); math.Abs(a-b) > 1e-9*a {
		t.Errorf("%v s in whole moves, %v s in halves", a, b)
	}
}

func TestStrandFeed(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	for _, row := range [][2]float64{{1, 3}, {3, 3}, {4, 4}, {5, 5}, {20, 11.5}, {1e6, 20}, {math.Inf(1), 20}} {
		if got := c.StrandFeed(row[0]); math.Abs(got-row[1]) > 1e-12 {
			t.Errorf("radius %v mm: %v mm/s, want %v", row[0], got, row[1])
		}
	}
}

func BenchmarkTimer(b *testing.B) {
	for _, n := range []int{100, 10_000, 1_000_000} {
		moves := randomMoves(rand.New(rand.NewSource(1)), n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				t := NewTimer(Motion{800, 6})
				for _, m := range moves {
					t.Add(m, 0)
				}
				t.Stop()
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "moves/s")
		})
	}
}

func ExampleCard_Time() {
	c := &Card{Acceleration: 500, CornerStep: 5}
	fmt.Printf("%.3f s\n", c.Time([]geom.Point{{X: 0, Y: 0}, {X: 100, Y: 0}}, 50))
	// Output: 2.100 s
}
