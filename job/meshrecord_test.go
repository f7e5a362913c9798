package job

import (
	"strings"
	"testing"

	"sinew/mesh"
	"sinew/stress"
)

// A mesh that ran out of rounds is told of, with what it reached; one that did
// not is not.
func TestUnreachedMeshIsTold(t *testing.T) {
	a := &stress.Adapted{Mesh: &mesh.Mesh{}, Error: 0.081, History: []stress.AdaptRound{{Nodes: 900, Error: 0.2, Peaks: []float64{31}}, {Nodes: 4000, Error: 0.081, Peaks: []float64{55}}}}
	r := newMeshRecord(a, 0.05)
	if w := r.warning(); !strings.Contains(w, "8.1 %") || !strings.Contains(w, "mesh.tolerance") {
		t.Errorf("warning %q names neither what was reached nor what to do", w)
	}
	if len(r.Rounds) != 2 || r.Rounds[1].Peaks[0] != 55 {
		t.Errorf("history lost: %+v", r.Rounds)
	}
	a.Reached = true
	r = newMeshRecord(a, 0.05)
	if w := r.warning(); w != "" {
		t.Errorf("told of a mesh that is fine: %q", w)
	}
}
