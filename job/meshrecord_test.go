package job

import (
	"context"
	"strings"
	"testing"

	"sinew/mesh"
	"sinew/stress"
)

// A mesh that ran out of rounds is told of, with what it reached; one that did
// not is not.
func TestUnreachedMeshIsTold(t *testing.T) {
	a := &stress.Refined{Mesh: &mesh.Mesh{}, Error: 0.081, History: []stress.AdaptRound{{Nodes: 900, Error: 0.2, Peaks: []float64{31}}, {Nodes: 4000, Error: 0.081, Peaks: []float64{55}}}}
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

// A case that bends refines the mesh for its bending, to the tolerance that the
// job sets, and says how it got there.
func TestMeshForBending(t *testing.T) {
	record := func(tolerance string) MeshRecord {
		j, err := Open(changedJob(t, "  [[case.load]]\n  at = \"right hole\"\n  how = \"bearing\"\n  force = \"60 N\"\n  angle = \"0 °\"\n", "pressure = \"0.01 MPa\"\n",
			`kind = "steered"`, `kind = "straight"`, `"4 mm"`, `"16 mm"`, `"20 %"`, `"`+tolerance+`"`), Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer j.Close()
		j.begin("mesh")
		m, err := j.makeMesh(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		return m.Record
	}
	coarse, fine := record("8 %"), record("0.4 %")
	for want, r := range map[float64]MeshRecord{0.08: coarse, 0.004: fine} {
		if !r.Reached || !(r.Error > 0 && r.Error <= want) || !(r.Rounds[0].Peaks[0] > 0) {
			t.Errorf("tolerance %g: %+v", want, r)
		}
	}
	if !(fine.Nodes > coarse.Nodes) {
		t.Errorf("%d nodes for 0.4 %%, %d for 8 %%", fine.Nodes, coarse.Nodes)
	}
}
