package drawing

import (
	"bytes"
	"io"
	"testing"
)

// checkRead reads anything and checks what comes out.
func checkRead(t *testing.T, data []byte, read func(io.Reader, Settings) (*Drawing, error)) {
	d, err := read(bytes.NewReader(data), Settings{})
	if err != nil {
		if d, err = read(bytes.NewReader(data), Settings{Units: "mm"}); err != nil {
			return
		}
	}
	if len(d.Pieces) == 0 {
		t.Fatal("no pieces and no error")
	}
	regions, err := d.Regions(JoinSettings{Tolerance: 0.01})
	if err != nil {
		return
	}
	for _, r := range regions {
		for _, l := range r.Loops() {
			for i, e := range l {
				if e.B != l[(i+1)%len(l)].A {
					t.Fatalf("edge %d does not meet the next: %v, %v", i, e, l[(i+1)%len(l)])
				}
			}
		}
	}
}
