package coupon

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"sinew/internal/stock"
	"sinew/material"
)

func workedCSV(test string) string {
	var b strings.Builder
	b.WriteString("test,batch,specimen,width_mm,thickness_mm,force_N,modulus_MPa,poisson\n")
	for i, v := range worked {
		fmt.Fprintf(&b, "%s,%d,c%d,15,2,%g,%g,0.3\n", test, i/6, i, v*30, 60000+100*float64(i))
	}
	return b.String()
}

// Stresses follow the standards' formulas, and the allowables those of the
// worked sample.
func TestReadData(t *testing.T) {
	for test, factor := range map[string]float64{"tension-0": 1, "shear": 0.5, "short-beam": 0.75} {
		res, err := ReadData(strings.NewReader(workedCSV(test)))
		if err != nil || len(res) != 1 || res[0].Test.Name != test {
			t.Fatalf("%s: %v, %v", test, res, err)
		}
		close(t, test, res[0].Allowables.B(), 125.441*factor, 2e-3)
		close(t, test+" modulus", res[0].Modulus, 60850, 1e-6)
		if len(res[0].Allowables.Fits) != 4 || res[0].Allowables.N != 18 {
			t.Errorf("%s: %+v", test, res[0].Allowables)
		}
	}
}

func TestReadDataRefuses(t *testing.T) {
	for _, row := range []struct {
		name, text, want string
		line             int
	}{
		{"empty", "", "empty", 1},
		{"unknown column", "test,batch,colour\n", "colour", 1},
		{"column twice", "test,batch,batch\n", "twice", 1},
		{"no batch", "test,strength_MPa\n", "batch", 1},
		{"no force", "test,batch,width_mm\n", "thickness_mm", 1},
		{"unknown test", "test,batch,strength_MPa\nbend,1,100\n", "bend", 2},
		{"word as number", "test,batch,strength_MPa\ntension-0,1,high\n", "high", 2},
		{"negative", "test,batch,strength_MPa\ntension-0,1,-3\n", "-3", 2},
		{"nothing measured", "test,batch,strength_MPa\ntension-0,1,\n", "neither", 2},
		{"ragged", "test,batch,strength_MPa\ntension-0,1\n", "cannot be read", 2},
		{"no coupon", "test,batch,strength_MPa\n", "no coupon", 1},
		{"open quote", "test,batch,strength_MPa\n\"tension-0,1,5\n", "cannot be read", 2},
	} {
		_, err := ReadData(strings.NewReader(row.text))
		var bad *DataError
		if !errors.As(err, &bad) || !strings.Contains(err.Error(), row.want) || bad.Line != row.line {
			t.Errorf("%s: %v", row.name, err)
		}
	}
	if _, err := ReadData(strings.NewReader("test,batch,strength_MPa\ntension-0,1,5\n")); err == nil || !strings.Contains(err.Error(), "at least 3") {
		t.Errorf("one coupon: %v", err)
	}
}

// The card that is written is a bead card with the values that were measured.
func TestBeadCard(t *testing.T) {
	text := workedCSV("tension-0") + strings.Join(strings.Split(workedCSV("shear"), "\n")[1:], "\n")
	res, err := ReadData(strings.NewReader(text))
	if err != nil || len(res) != 2 {
		t.Fatal(res, err)
	}
	for _, share := range []Share{BValue, AValue, MeanValue} {
		out, err := BeadCard{ID: "my-bead", Title: "Our bead, \"dry\"", Tow: "carbon-tow", Spacing: 0.8, Date: "2026-11-25", Tested: material.State{Temperature: 60, Conditioned: true}, Share: share}.Text(res)
		if err != nil {
			t.Fatal(err)
		}
		b := stock.Read(t, out, material.BeadFromCard)
		want := map[Share]float64{BValue: res[0].Allowables.B(), AValue: res[0].Allowables.A(), MeanValue: res[0].Allowables.Mean}[share]
		if got := b.Measured.State; got == nil || *got != (material.State{Temperature: 60, Conditioned: true}) {
			t.Errorf("%v: tested at %v", share, got)
		}
		if got := b.Measured.Xt; got > want || got < want*0.999 || b.Measured.Spacing != 0.8 || b.TowID != "carbon-tow" || b.Measured.S == 0 || b.Measured.G12 == 0 || b.Measured.E1 == 0 || b.Measured.Nu12 != 0.3 {
			t.Errorf("%v: %+v, want Xt %v", share, b, want)
		}
	}
}

func FuzzReadData(f *testing.F) {
	f.Add([]byte(workedCSV("tension-0")))
	f.Add([]byte("test,batch,strength_MPa\ntension-0,1,1e308\ntension-0,1,1e-308\ntension-0,2,5\n"))
	f.Add([]byte("\"test\",batch,strength_MPa\n# note\ntension-0,\"a\nb\",5\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		res, err := ReadData(bytes.NewReader(data))
		if err != nil {
			return
		}
		for _, r := range res {
			if r.Allowables.N < leastSample || r.Allowables.Chosen >= len(r.Allowables.Fits) {
				t.Errorf("%+v", r)
			}
			BeadCard{ID: "x", Title: "x", Spacing: 1}.Text(res)
		}
	})
}
