package job_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"sinew/job"
)

// A job is made from nothing, opened, and its strands are laid; nothing is
// written until Save.
func Example() {
	folder, err := os.MkdirTemp("", "sinew")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(folder)
	dir := filepath.Join(folder, "bracket")
	if _, err := job.New(dir, "", nil); err != nil {
		fmt.Println(err)
		return
	}
	j, err := job.Open(dir, job.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer j.Close()
	res, err := j.Run(context.Background(), job.Lay, "lay")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range res.Record.Part.Features {
		fmt.Printf("%s: %.0f mm at (%.0f, %.0f)\n", f.Name, f.DiameterMM, f.X, f.Y)
	}
	fmt.Printf("%d layers, strands laid: %v\n", len(res.Record.Layup.Layers), res.Record.Strands.Count > 0)
	// Output:
	// hole 1: 8 mm at (0, 0)
	// hole 2: 8 mm at (100, 0)
	// 14 layers, strands laid: true
}

// A fault says where it stands, what is wrong, and what to do.
func ExampleDecode() {
	_, err := job.Decode([]byte("schema = \"sinew-job/1\"\nname = \"plate\"\n[part]\ndrawing = \"plate.dxf\"\nthickness = 4\n"), "job.toml")
	fmt.Println(err)
	// Output:
	// job.toml:5:1: part.thickness: 4 has no unit; write it as text, a length, such as "4.8 mm"
}
