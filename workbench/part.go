package workbench

import (
	"context"

	"sinew/job"
)

// PartState is the part as the job file describes it now.
type PartState struct {
	Version string `json:"version" doc:"of the job file"`
	*job.PartView
}

// UnitQuery asks what a text with a unit means.
type UnitQuery struct {
	Kind string `query:"kind" required:"true" enum:"length,force,stress,angle,temperature,temperature difference,acceleration,share,mass,moment,amount of memory" doc:"kind of quantity, as the title in the schema of the job file"`
	Text string `query:"text" required:"true" maxLength:"100" example:"2.4 kN"`
}

func (s *Server) registerPart() {
	get(s, "/api/jobs/{job}/part", "get-part", "Outline, features, what can be picked, supports and loads; nothing is computed", func(ctx context.Context, in *JobPath) (*PartState, error) {
		return onJob(s, in.Job, func(x *session) (*PartState, error) {
			st, err := x.journal.State()
			if err != nil {
				return nil, err
			}
			return &PartState{Version: st.Version, PartView: remember(x, "part", st.Text, func() *job.PartView { return job.ViewPart(x.dir, st.Text, x.options()) })}, nil
		})
	})
	get(s, "/api/unit", "read-quantity", "What a text with a unit means", func(ctx context.Context, in *UnitQuery) (*job.Quantity, error) {
		return job.ReadQuantity(in.Kind, in.Text)
	})
}
