package drawing

import (
	"bytes"
	"os"
	"testing"
)

func TestScratch(t *testing.T) {
	for _, dir := range []string{"testdata/dxf/", "../examples/hanger/", "../examples/open-hole/"} {
		es, _ := os.ReadDir(dir)
		for _, e := range es {
			data, _ := os.ReadFile(dir + e.Name())
			d, err := ReadDXF(bytes.NewReader(data), Settings{})
			if err != nil {
				d, err = ReadDXF(bytes.NewReader(data), Settings{Units: "mm"})
			}
			if err != nil {
				t.Logf("%s: READ %v", e.Name(), err)
				continue
			}
			r, err := d.Regions(JoinSettings{Tolerance: 0.01})
			s := ""
			if err != nil {
				s = err.Error()
			}
			t.Logf("%s: %d pieces %s, %d regions, %.300s; %q", e.Name(), len(d.Pieces), d.Unit, len(r), s, d.Notes)
		}
	}
}
