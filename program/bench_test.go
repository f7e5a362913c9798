package program

import (
	"bytes"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"

	"sinew/strand"
)

// tall repeats the layers of a sample until the program has about the wanted
// size.
func tall(t testing.TB, size int) *strand.Print {
	c := builtIn(t, "twin-nozzle")
	pr := samplePrint(c, 7)
	text, _ := written(t, pr, c, settings())
	base := pr.Layers
	pr.Layers = nil
	z := 0.0
	for n := 0; n*len(text) < size; n++ {
		for _, l := range base {
			z += l.Height
			l.Z, l.Index = z, len(pr.Layers)
			pr.Layers = append(pr.Layers, l)
		}
	}
	return pr
}

func BenchmarkWrite(b *testing.B) {
	c := builtIn(b, "twin-nozzle")
	c.Bed.Z = 1e6
	for _, mb := range []int{1, 8, 64} {
		pr := tall(b, mb<<20)
		b.Run(fmt.Sprintf("%dMB", mb), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				sum, err := Write(io.Discard, pr, c, settings())
				if err != nil {
					b.Fatal(err)
				}
				b.SetBytes(sum.Bytes)
			}
		})
	}
}

func BenchmarkRead(b *testing.B) {
	c := builtIn(b, "twin-nozzle")
	c.Bed.Z = 1e6
	for _, mb := range []int{1, 8, 64} {
		text, _ := written(b, tall(b, mb<<20), c, settings())
		b.Run(fmt.Sprintf("%dMB", mb), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				rep, err := Scan(bytes.NewReader(text), c, Visitor{})
				if err != nil || len(rep.Findings) > 0 {
					b.Fatal(err, rep.Findings)
				}
			}
		})
	}
}

// What Scan holds does not grow with the program: ten times the strands add
// nothing but their layers.
func TestScanMemoryIsFlat(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	c.Bed.Z = 1e6
	grown := func(size int) uint64 {
		text, _ := written(t, tall(t, size), c, settings())
		var a, b runtime.MemStats
		runtime.ReadMemStats(&a)
		if _, err := Scan(bytes.NewReader(text), c, Visitor{}); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&b)
		return b.TotalAlloc - a.TotalAlloc
	}
	small, large := grown(300_000), grown(6_000_000)
	if large > small+2_000_000 {
		t.Errorf("%d bytes allocated for a program of 6 MB, %d for one of 0.3 MB", large, small)
	}
}

func FuzzRead(f *testing.F) {
	c := builtIn(f, "twin-nozzle")
	iron := builtIn(f, "ironing-nozzle")
	text, _ := written(f, samplePrint(c, 1), c, settings())
	ironed, _ := written(f, samplePrint(iron, 1), iron, settings())
	var plans [2]*Readback
	var err error
	if plans[0], err = Read(bytes.NewReader(text), c); err != nil {
		f.Fatal(err)
	}
	if plans[1], err = Read(bytes.NewReader(ironed), iron); err != nil {
		f.Fatal(err)
	}
	lines := strings.Split(string(text), "\n")
	f.Add([]byte(strings.Join(lines[:40], "\n")))
	f.Add([]byte("G71\nG90 G94\nM92 P2 S260\nM93 P2 S260\nT2 M6\nG0 X10 Y10 Z0.32 F600\nM95 L46 F720\nG1 X20 E0.1 F150\nM96 L45\nG1 X65 E1\nM97\nM30\n"))
	f.Add([]byte("G90\nG71 G94\nM40\nT1\nG3 X1 Y1 I1 J0 F600\nG1 U1\nM47\nM48\nM2\n"))
	f.Add([]byte("G1 X1e5 (a) Y-.5 F+3\r\n;"))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, card := range []int{0, 1} {
			k := c
			if card == 1 {
				k = iron
			}
			rb, err := Read(bytes.NewReader(data), k)
			if err == nil {
				Changes(rb, plans[card])
				if all := Changes(plans[card], rb); len(all) > mostChanges+1 {
					t.Errorf("%d changes", len(all))
				}
				if all := Changes(rb, rb); len(all) > 0 {
					t.Errorf("changes of itself: %v", all)
				}
			}
			if err == nil && (rb.Bytes != int64(len(data)) || rb.Time != rb.Time || rb.Tow < 0) {
				t.Errorf("%d bytes of %d read, time %v, tow %v", rb.Bytes, len(data), rb.Time, rb.Tow)
			}
		}
	})
}
