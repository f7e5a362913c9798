package job

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"sinew/field"
)

// stageResume is where the state of a lay stage stands that was stopped.
const stageResume = "resume"

// resumed is that state: the mixes analysed and where the refinement stands.
type resumed struct {
	Tried   []field.TriedMix
	Mixed   bool // the search had come to its end
	Refined *field.Checkpoint
	// Unordered says that the search for the order of layers was stopped; it is
	// made again.
	Unordered bool
	// Of a part with terraces: the plan of the whole, once it is refined, and
	// where the refinement of each terrace stands, by island.
	Whole    *field.Layup
	Terraces map[int]*field.Checkpoint
}

// ended reports whether nothing was stopped.
func (s *resumed) ended() bool {
	return s.Mixed && s.Refined == nil && len(s.Terraces) == 0 && !s.Unordered
}

// steps of refinement that were made before the stop.
func (s *resumed) steps() int {
	n := 0
	if s.Refined != nil {
		n += len(s.Refined.Steps)
	}
	for _, c := range s.Terraces {
		n += len(c.Steps)
	}
	return n
}

// layUnlessKept makes the lay-up, unless it is kept; one that was stopped is
// kept as a state to go on from, under a key of its own, so that no later
// stage takes its results for those of the whole search.
func (j *Job) layUnlessKept(ctx context.Context, m meshed, k key) (laid, key, error) {
	l, ok := load[laid](filepath.Join(j.out, stagesFolder, stageLay+".gob"), k)
	if ok {
		j.run.Reused = append(j.run.Reused, stageLay)
		return l, k, nil
	}
	state, goesOn := load[resumed](filepath.Join(j.out, stagesFolder, stageResume+".gob"), k)
	start := time.Now()
	l, next, err := j.makeLayup(ctx, m, state)
	if err != nil {
		return l, k, err
	}
	j.run.Seconds[stageLay] += time.Since(start).Seconds()
	if next == nil {
		if goesOn {
			j.stale = append(j.stale, filepath.Join(stagesFolder, stageResume+".gob"))
		}
		return l, k, keepStage(j, stageLay, k, l)
	}
	l.Notes = append(l.Notes, next.note(l.Layup))
	return l, keyOf("stopped", k, len(next.Tried), next.steps()), keepStage(j, stageResume, k, *next)
}

// note says where the stage was stopped.
func (s *resumed) note(l *field.Layup) string {
	if !s.Mixed {
		return fmt.Sprintf("stopped: the search for the layer mix ended after %d trials with the best so far; the next run goes on from there", len(s.Tried))
	}
	if s.Unordered {
		return "stopped: the search for the order of layers ended with the best so far; the next run searches again"
	}
	if s.Refined == nil {
		return fmt.Sprintf("stopped: the refinement of %d terraces ended with the best so far; the next run goes on from there", len(s.Terraces))
	}
	return fmt.Sprintf("stopped: the refinement ended after %d steps with the best so far, step %d; the next run goes on from there", len(s.Refined.Steps)-1, l.Kept)
}
