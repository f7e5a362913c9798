package job

import (
	"fmt"

	"sinew/stress"
)

// MeshRecord tells how well the mesh resolves the stress of the part in one even
// material, which it was refined for: in its plane, or bent where a case bends.
type MeshRecord struct {
	Triangles  int               `json:"triangles"`
	Nodes      int               `json:"nodes"`
	LeastAngle float64           `json:"least_angle_deg"`
	MeanAngle  float64           `json:"mean_least_angle_deg" jsonschema_description:"mean over the triangles of their least angle"`
	Error      float64           `json:"estimated_error" jsonschema_description:"share of the stresses, energy norm, of the worst case in one even material"`
	Tolerance  float64           `json:"tolerance"`
	Reached    bool              `json:"reached" jsonschema_description:"the tolerance was met before rounds or nodes ran out"`
	Rounds     []MeshRoundRecord `json:"rounds" jsonschema_description:"the meshes made, coarse to fine"`
}

// MeshRoundRecord is one mesh of the refinement.
type MeshRoundRecord struct {
	Nodes int       `json:"nodes"`
	Error float64   `json:"estimated_error"`
	Peaks []float64 `json:"peaks_MPa" jsonschema_description:"per case: greatest equivalent stress at a node, mean over the thickness"`
}

// newMeshRecord describes an adapted mesh.
func newMeshRecord(a *stress.Refined, tolerance float64) MeshRecord {
	q := a.Mesh.Quality()
	r := MeshRecord{
		Triangles: q.Triangles, Nodes: q.Nodes, LeastAngle: q.LeastAngle, MeanAngle: q.MeanLeastAngle,
		Error: a.Error, Tolerance: tolerance, Reached: a.Reached,
	}
	for _, h := range a.History {
		r.Rounds = append(r.Rounds, MeshRoundRecord{h.Nodes, h.Error, h.Peaks})
	}
	return r
}

// warning is what to tell of a mesh that did not reach its tolerance; empty for
// one that did.
func (m *MeshRecord) warning() string {
	if m.Reached {
		return ""
	}
	return fmt.Sprintf("the mesh is as fine as allowed and its estimated error is %.3g %%, %.3g %% wanted: a sharp inner corner or the end of a fixed side may not be resolved; round the corner, or set mesh.tolerance to what is enough",
		100*m.Error, 100*m.Tolerance)
}

// addMesh puts the mesh and what to tell of it into the results.
func (r *Results) addMesh(m meshed) {
	r.Record.Mesh = m.Record
	if w := m.Record.warning(); w != "" {
		r.Record.Warnings = append(r.Record.Warnings, w)
	}
}
