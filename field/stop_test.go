package field

import (
	"context"
	"slices"
	"testing"
)

// asPlanned stands in for drawing strands: what the phases ask for.
func asPlanned(in *Input) Draw {
	return func(_ context.Context, l *Layup) ([]Ply, error) {
		out := l.plies(in)
		for k := range out {
			out[k].Layers = 0
			for _, y := range l.Layers {
				if y.Family == out[k].Family {
					out[k].Layers++
				}
			}
		}
		return out, nil
	}
}

// TestStoppedRefinementGoesOn: stopped at any step and resumed, a refinement
// ends with the bits of one that was never stopped, on one worker or three.
func TestStoppedRefinementGoesOn(t *testing.T) {
	for name, drawn := range map[string]bool{"as planned": false, "drawn": true} {
		run := func(workers int, stop func() bool, resume *Checkpoint) *Layup {
			in := input(t, twoCases(4), 4, workers)
			s := Settings{Families: []Request{{Kind: Steered, Fit: Dominant, Layers: 4}, {Kind: Straight, Angle: 0.7, Layers: 2}}, Guess: "strip", Refine: Refine{Steps: 12}, Workers: workers, Stop: stop, Resume: resume}
			if drawn {
				s.Draw = asPlanned(&in)
			}
			return plan(t, in, s)
		}
		whole := run(1, nil, nil)
		if whole.Stopped != nil || len(whole.Steps) < 13 {
			t.Fatalf("%s: %d steps, stopped %v", name, len(whole.Steps), whole.Stopped != nil)
		}
		for _, after := range []int{0, 11} {
			asked := 0
			part := run(3, func() bool { asked++; return asked > after }, nil)
			if part.Stopped == nil || len(part.Steps) != after+1 {
				t.Fatalf("%s, stopped after %d: %d steps, checkpoint %v", name, after, len(part.Steps), part.Stopped != nil)
			}
			if part.Steps[part.Kept].Value > part.Steps[0].Value {
				t.Errorf("%s, stopped after %d: kept a worse answer than the first", name, after)
			}
			again := run(3, nil, part.Stopped)
			if !slices.Equal(again.Families[0].Phase, whole.Families[0].Phase) || again.Kept != whole.Kept || len(again.Steps) != len(whole.Steps) {
				t.Errorf("%s, stopped after %d and resumed: another answer (step %d of %d kept, %d of %d in one go)", name, after, again.Kept, len(again.Steps)-1, whole.Kept, len(whole.Steps)-1)
			}
		}
	}
}

// TestObjectiveFalls: every step lowers the objective and no strand turns more
// than the limit allows.
func TestObjectiveFalls(t *testing.T) {
	in := input(t, plate(80, 30, 5), 3, 2)
	l := plan(t, in, Settings{Families: []Request{{Kind: Steered, Layers: 4, Spacing: 1.2}}, Refine: Refine{Steps: 25}, Mask: 5})
	for i := range l.Steps[1:] {
		if l.Steps[i+1].Value >= l.Steps[i].Value {
			t.Errorf("step %d: %g after %g", i+1, l.Steps[i+1].Value, l.Steps[i].Value)
		}
	}
	first, last := l.Steps[0], l.Steps[len(l.Steps)-1]
	if last.Turning > 1.5 || last.Matrix > 0.8*first.Matrix || last.Fibre > 1.05*first.Fibre || last.Energy[0] > 1.02*first.Energy[0] {
		t.Errorf("from %+v to %+v", first, last)
	}
}

// TestStoppedSearchGoesOn stops a search between trials.
func TestStoppedSearchGoesOn(t *testing.T) {
	in := input(t, plate(60, 20, 3), 5, 1)
	s := Settings{Mask: 8, Families: []Request{{Kind: Straight, Layers: 2, Angle: 0.8}, {Kind: Straight, Angle: 1.5, Layers: 4}, {Kind: Straight}}}
	whole, err := FindMix(context.Background(), in, s, MixSettings{})
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	s.Stop = func() bool { asked++; return asked > 5 }
	part, err := FindMix(context.Background(), in, s, MixSettings{})
	if err != nil {
		t.Fatal(err)
	}
	if !part.Stopped || part.Tried >= whole.Tried {
		t.Fatalf("stopped %v after %d of %d trials", part.Stopped, part.Tried, whole.Tried)
	}
	s.Stop = nil
	again, err := FindMix(context.Background(), in, s, MixSettings{Resume: part.All})
	if err != nil {
		t.Fatal(err)
	}
	if again.Stopped || !slices.Equal(again.Layers, whole.Layers) || again.Tried != whole.Tried {
		t.Errorf("resumed: %v after %d trials, in one go %v after %d", again.Layers, again.Tried, whole.Layers, whole.Tried)
	}
}
