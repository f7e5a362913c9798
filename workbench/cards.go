package workbench

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"sinew/job"
)

// CardsQuery chooses cards.
type CardsQuery struct {
	JobPath
	Kind string `query:"kind" enum:"tow,plastic,metal,bead,printer,knockdown" doc:"left out: all"`
}

// CardList lists cards.
type CardList struct {
	Cards []job.CardEntry `json:"cards"`
}

// CardPath names a card.
type CardPath struct {
	JobPath
	Kind string `path:"kind" enum:"tow,plastic,metal,bead,printer,knockdown"`
	ID   string `path:"id" maxLength:"100"`
}

// CopyCard asks for a copy of a card.
type CopyCard struct {
	CardPath
	Body struct {
		Name string `json:"name" pattern:"^[a-z0-9]+(-[a-z0-9]+)*$" maxLength:"80" doc:"id of the copy"`
	}
}

// PutCard is a new text of a card.
type PutCard struct {
	CardPath
	Body struct {
		Base string `json:"base" doc:"text_version that the text is based on"`
		Text string `json:"text" maxLength:"1048576"`
	}
}

// BeadQuery asks about the bead of a job.
type BeadQuery struct {
	JobPath
	Spacing    string `query:"spacing" maxLength:"40" doc:"distance of strands, such as 0.8mm; left out: 1 mm"`
	FibreShare string `query:"fibre_share" maxLength:"40" doc:"wanted share of dry fibre, such as 20%"`
	Modulus    string `query:"modulus" maxLength:"40" doc:"wanted modulus along the fibres, such as 50GPa"`
	Strength   string `query:"strength" maxLength:"40" doc:"wanted tensile strength along the fibres, such as 600MPa"`
}

// CurveList is a list of plots.
type CurveList struct {
	Curves []job.Curve `json:"curves"`
}

func (s *Server) registerCards() {
	get(s, "/api/jobs/{job}/cards", "list-cards", "Cards that the job can name", func(ctx context.Context, in *CardsQuery) (*CardList, error) {
		return onJob(s, in.Job, func(x *session) (*CardList, error) {
			list, err := job.JobCards(x.dir, x.options(), in.Kind)
			return &CardList{list}, err
		})
	})
	get(s, "/api/jobs/{job}/cards/{kind}/{id}", "get-card", "A card: every value with unit and source, and its text", func(ctx context.Context, in *CardPath) (*job.CardState, error) {
		return onJob(s, in.Job, func(x *session) (*job.CardState, error) { return job.JobCard(x.dir, x.options(), in.Kind, in.ID) })
	})
	get(s, "/api/jobs/{job}/cards/{kind}/{id}/curves", "card-curves", "Plots of a card's values over temperature and the like", func(ctx context.Context, in *CardPath) (*CurveList, error) {
		return onJob(s, in.Job, func(x *session) (*CurveList, error) {
			list, err := job.CardCurves(x.dir, x.options(), in.Kind, in.ID)
			return &CurveList{list}, err
		})
	})
	create(s, "/api/jobs/{job}/cards/{kind}/{id}/copy", "copy-card", "Copy a card into the job's folder, to edit it", func(ctx context.Context, in *CopyCard) (*job.CardState, error) {
		return onJob(s, in.Job, func(x *session) (*job.CardState, error) {
			return job.CopyCard(x.dir, x.options(), in.Kind, in.ID, in.Body.Name)
		})
	})
	register(s, huma.Operation{Method: http.MethodPut, Path: "/api/jobs/{job}/cards/{kind}/{id}", OperationID: "put-card", Summary: "Replace the text of a card of the job's folder"},
		func(ctx context.Context, in *PutCard) (*job.CardState, error) {
			return onJob(s, in.Job, func(x *session) (*job.CardState, error) {
				return job.PutCard(x.dir, x.options(), in.Kind, in.ID, in.Body.Base, []byte(in.Body.Text))
			})
		})
	get(s, "/api/jobs/{job}/bead", "bead-curves", "What a bead of the job's cards is worth over the distance of strands", func(ctx context.Context, in *JobPath) (*CurveList, error) {
		return onJob(s, in.Job, func(x *session) (*CurveList, error) {
			st, err := x.journal.State()
			if err != nil {
				return nil, err
			}
			list, err := job.BeadCurves(x.dir, st.Text, x.options())
			return &CurveList{list}, err
		})
	})
	get(s, "/api/jobs/{job}/bead/worth", "bead-worth", "What the job's bead is made of and worth at a distance of strands, and which distance gives a wanted figure", func(ctx context.Context, in *BeadQuery) (*job.BeadAnswer, error) {
		return onJob(s, in.Job, func(x *session) (*job.BeadAnswer, error) {
			st, err := x.journal.State()
			if err != nil {
				return nil, err
			}
			return job.AskJobBead(x.dir, st.Text, x.options(), job.BeadQuestion{Spacing: in.Spacing, FibreShare: in.FibreShare, Modulus: in.Modulus, Strength: in.Strength})
		})
	})
}
