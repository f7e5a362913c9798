package job

import (
	"reflect"
	"testing"
)

// TestAlone: without designs to compare with, the print has the same figures, and
// neither run takes the other's results for its own.
func TestAlone(t *testing.T) {
	dir := smallJob(t)
	all := runJob(t, dir, Options{}).Record
	alone := runJob(t, dir, Options{Alone: true}).Record
	again := runJob(t, dir, Options{}).Record
	if len(alone.Designs) != 1 || alone.Designs[0].ID != PrintedID || len(alone.Ratios) != 0 {
		t.Errorf("%d designs, %d ratios", len(alone.Designs), len(alone.Ratios))
	}
	if !reflect.DeepEqual(alone.Designs[0], all.Designs[0]) || !reflect.DeepEqual(alone.Findings, all.Findings) || !reflect.DeepEqual(alone.Program, all.Program) {
		t.Error("the print has other figures alone")
	}
	if !reflect.DeepEqual(again, all) {
		t.Error("a run with all designs differs after one without")
	}
}
