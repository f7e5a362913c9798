package job

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// FuzzDecode: whatever stands in a job file, the answer is a file or faults
// that say what is wrong.
func FuzzDecode(f *testing.F) {
	f.Add([]byte(smallText))
	f.Add([]byte("[[feAture]]#0\n[[case.loAd]]")) // once a table where a list belongs, in other letters
	for _, b := range badInputs {
		text := smallText
		for i := 0; i < len(b.edit); i += 2 {
			text = replaceOnce(text, b.edit[i], b.edit[i+1])
		}
		if len(text) < 1<<14 {
			f.Add([]byte(text))
		}
	}
	for _, name := range []string{"hanger", "open-hole"} {
		text, err := os.ReadFile(filepath.Join("..", "examples", name, FileName))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := Decode(data, FileName)
		if err == nil {
			if file == nil || file.Schema != SchemaName || len(file.Layup.Families) == 0 {
				t.Errorf("accepted without what it needs: %+v", file)
			}
			return
		}
		var in *InputError
		if !errors.As(err, &in) || len(in.Faults) == 0 {
			t.Fatalf("refused with %T: %v", err, err)
		}
		for _, fault := range in.Faults {
			if fault.File != FileName || fault.What == "" || fault.Remedy == "" {
				t.Errorf("fault without place, text or remedy: %+v", fault)
			}
		}
	})
}
