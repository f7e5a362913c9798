package job

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"sinew/card"
	"sinew/coupon"
	"sinew/geom"
	"sinew/internal/atomicfile"
	"sinew/material"
	"sinew/printer"
	"sinew/program"
	"sinew/strand"
	"sinew/unit"
)

// Bench names the cards that calibration and coupon prints are made with, and
// where what they make goes.
type Bench struct {
	Printer, Plastic, Tow string
	Cards                 string // folder of the user's cards
	Out                   string // folder of what is made
}

// bench is a Bench with its cards read.
type bench struct {
	printer *printer.Card
	plastic material.Plastic
	tow     material.Tow
	towArea float64
}

func (b Bench) read() (*bench, error) {
	j, in := cardFolder(b.Cards), &inputs{cardKeys: map[string]key{}}
	out := &bench{}
	var err error
	if out.printer, err = readAs(j, in, "printer", b.Printer, "--printer", printer.FromCard); err != nil {
		return nil, err
	}
	if out.plastic, err = readAs(j, in, "plastic", b.Plastic, "--plastic", material.PlasticFromCard); err != nil {
		return nil, err
	}
	if b.Tow != "" {
		if out.tow, err = readAs(j, in, "tow", b.Tow, "--tow", material.TowFromCard); err != nil {
			return nil, err
		}
		out.towArea = out.tow.Area
	}
	return out, nil
}

func (b *bench) settings(name string) program.Settings {
	s := program.Settings{
		TowArea: b.towArea, PlasticTemperature: b.plastic.PrintTemperature, BedTemperature: b.plastic.BedTemperature, PlasticDensity: b.plastic.Density,
		PlasticPerKilo: b.plastic.PricePerKilo, Name: name, Advice: Caution,
	}
	if b.towArea > 0 { // some prints lay none
		s.TowPerMetre, s.TowLinearDensity = b.tow.PerMetre(), b.tow.LinearDensity()
	}
	return s
}

// PrintRecord is what a calibration or coupon print comes to.
type PrintRecord struct {
	Title   string   `json:"title"`
	Files   []string `json:"files"`
	TimeS   float64  `json:"time_s"`
	LengthM float64  `json:"tow_length_m"`
	Cost    float64  `json:"cost"`
	Notes   []string `json:"notes"`
}

// Names of the files that a print for measuring comes with.
const (
	sheetName = "sheet.html"
	dataName  = "measured.csv"
)

// make writes a print's program, its page and an empty data file, all together.
func (b *bench) make(out, title string, pr *strand.Print, set program.Settings, page func(coupon.PageHead) []byte, data string) (*PrintRecord, error) {
	var text bytes.Buffer
	sum, err := program.Write(&text, pr, b.printer, set)
	if err != nil {
		return nil, asInput("", "", err)
	}
	back, err := program.Read(bytes.NewReader(text.Bytes()), b.printer)
	if err != nil {
		return nil, fmt.Errorf("the program just written cannot be read back: %w", err)
	}
	if err := ownFaults(program.Compare(pr, back, b.printer, set)); err != nil {
		return nil, err
	}
	for _, f := range back.Findings {
		if f.Severity == program.Stop {
			return nil, &InputError{[]Fault{{Key: f.ID, What: fmt.Sprintf("machine program, line %d: %s", f.Line, f.What), Remedy: f.Remedy}}}
		}
	}
	rec := &PrintRecord{Title: title, TimeS: sum.Time, LengthM: sum.Tow / 1000, Cost: sum.Cost, Notes: []string{}}
	head := coupon.PageHead{Machine: b.printer.Title, Plastic: b.plastic.Title, Program: programName, Data: dataName, Caution: Caution}
	return rec, writeAll(rec, out, map[string][]byte{programName: text.Bytes(), sheetName: page(head), dataName: []byte(data)}, programName, sheetName, dataName)
}

// writeAll writes files into a folder, all or none, and does not replace data
// that somebody has filled in.
func writeAll(rec *PrintRecord, out string, files map[string][]byte, order ...string) error {
	if old, err := os.ReadFile(filepath.Join(out, dataName)); err == nil && !bytes.Equal(old, files[dataName]) {
		return &InputError{[]Fault{{File: filepath.Join(out, dataName), What: "is there already, with other content", Remedy: "choose another folder, or move it away"}}}
	}
	batch := atomicfile.NewBatch()
	defer batch.Discard()
	for _, name := range order {
		if err := batch.Add(filepath.Join(out, name), files[name]); err != nil {
			return err
		}
		rec.Files = append(rec.Files, filepath.Join(out, name))
	}
	return batch.Commit()
}

func (b *bench) calibration(name string) (*coupon.Calibration, error) {
	k, err := coupon.NewCalibration(name, b.printer, b.plastic.PrintTemperature)
	if err != nil {
		return nil, asInput("", "print", err)
	}
	return k, nil
}

// TunePrint makes a calibration print.
func TunePrint(ctx context.Context, name string, b Bench) (*PrintRecord, error) {
	read, err := b.read()
	if err != nil {
		return nil, err
	}
	k, err := read.calibration(name)
	if err != nil {
		return nil, err
	}
	if read.towArea == 0 && hasStrands(k.Print) && read.printer.Process == printer.CoExtruded {
		return nil, &InputError{[]Fault{{Key: "--tow", What: "is missing: this print lays tow", Remedy: "name a tow card"}}}
	}
	set := read.settings("calibration print: " + name)
	set.Placed = k.Placed
	set.Temperatures, set.Feeds = k.Temperatures, k.Feeds
	var data strings.Builder
	data.WriteString("name,value\n")
	for _, r := range k.Readings {
		data.WriteString(r.Name + ",\n")
	}
	return read.make(b.Out, k.Title, k.Print, set, k.Page, data.String())
}

func hasStrands(pr *strand.Print) bool {
	for i := range pr.Layers {
		if len(pr.Layers[i].Strands) > 0 {
			return true
		}
	}
	return false
}

// TuneRecord is what a fit changes.
type TuneRecord struct {
	Print   string         `json:"print"`
	Changes []ChangeRecord `json:"changes"`
	File    string         `json:"file" jsonschema_description:"the new card"`
}

// ChangeRecord is one new card value.
type ChangeRecord struct {
	Card   string `json:"card"`
	Key    string `json:"key"`
	Was    string `json:"was,omitempty"`
	Is     string `json:"is"`
	Source string `json:"source"`
	Note   string `json:"note,omitempty"`
}

// TuneFit turns the readings of a calibration print into a new card, a copy of
// the one that was printed with under a new id. Date goes into the card.
func TuneFit(ctx context.Context, name, dataPath, id, date string, b Bench) (*TuneRecord, error) {
	read, err := b.read()
	if err != nil {
		return nil, err
	}
	k, err := read.calibration(name)
	if err != nil {
		return nil, err
	}
	data, err := readInput(dataPath, dataPath, maxCardBytes)
	if err != nil {
		return nil, err
	}
	got, err := coupon.ReadReadings(bytes.NewReader(data), k)
	if err != nil {
		return nil, dataFault(dataPath, err)
	}
	changes, err := k.Fit(read.printer, got)
	if err != nil {
		return nil, dataFault(dataPath, err)
	}
	kind, from := changes[0].Kind, b.Printer
	if kind == "plastic" {
		from = b.Plastic
	}
	if id == "" {
		id = from + "-tuned"
	}
	text, err := tunedCard(b, kind, from, id, date, changes)
	if err != nil {
		return nil, err
	}
	out := &TuneRecord{Print: name, File: filepath.Join(b.Out, id+".toml")}
	for _, c := range changes {
		out.Changes = append(out.Changes, ChangeRecord{kind + "/" + id, c.Key, c.Was, c.Is, c.Source, c.Note})
	}
	return out, atomicfile.WriteFile(out.File, []byte(text))
}

// tunedCard is the text of the new card, which must read as a card of its kind.
func tunedCard(b Bench, kind, from, id, date string, changes []coupon.Change) (string, error) {
	data, shown, err := cardFolder(b.Cards).cardFile(kind, from)
	if err != nil {
		return "", err
	}
	text, err := coupon.EditCard(string(data), id, date, changes)
	if err != nil {
		return "", asInput(shown, "", err)
	}
	c, err := card.Parse([]byte(text), id+".toml")
	if err == nil {
		err = convert(c)
	}
	if err != nil {
		return "", cardFaults(err)
	}
	return text, nil
}

// dataFault turns faults of a data file into faults of the input.
func dataFault(path string, err error) error {
	if err == nil {
		return nil
	}
	var list []Fault
	var joined interface{ Unwrap() []error }
	if errors.As(err, &joined) {
		for _, e := range joined.Unwrap() {
			list = append(list, oneDataFault(path, e))
		}
		return &InputError{list}
	}
	return &InputError{[]Fault{oneDataFault(path, err)}}
}

func oneDataFault(path string, err error) Fault {
	var bad *coupon.DataError
	if errors.As(err, &bad) {
		return Fault{File: path, Line: bad.Line, Column: 1, What: bad.What, Remedy: bad.Remedy}
	}
	return Fault{File: path, What: err.Error()}
}

// Plate says how a plate of coupons is printed; zero is the default.
type Plate struct {
	Count     int    // of coupons; default 6
	Spacing   string // of strands, with its unit; default the printer's least
	Thickness string // of the composite, with its unit; default the test's
}

func (p Plate) settings() (coupon.PanelSettings, error) {
	s := coupon.PanelSettings{Count: p.Count}
	for _, q := range []struct {
		flag, text string
		to         *float64
	}{{"--spacing", p.Spacing, &s.Spacing}, {"--thickness", p.Thickness, &s.Thickness}} {
		if q.text == "" {
			continue
		}
		v, err := unit.Parse(q.text, unit.Length)
		if err != nil || !(v > 0) || v > 100 {
			return s, &InputError{[]Fault{{Key: q.flag, What: fmt.Sprintf("is %q", q.text), Remedy: "write a length such as \"0.8 mm\""}}}
		}
		*q.to = v
	}
	if p.Count < 0 || p.Count > 100 {
		return s, &InputError{[]Fault{{Key: "--count", What: fmt.Sprintf("is %d", p.Count), Remedy: "give 1 to 100 coupons"}}}
	}
	return s, nil
}

// CouponPrint makes a plate from which coupons of a test are sawn.
func CouponPrint(ctx context.Context, test string, plate Plate, b Bench) (*PrintRecord, error) {
	s, err := plate.settings()
	if err != nil {
		return nil, err
	}
	t, err := coupon.TestNamed(test)
	if err != nil {
		return nil, asInput("", "test", err)
	}
	read, err := b.read()
	if err != nil {
		return nil, err
	}
	if read.towArea == 0 {
		return nil, &InputError{[]Fault{{Key: "--tow", What: "is missing: coupons hold tow", Remedy: "name a tow card"}}}
	}
	p, err := coupon.NewPanel(t, read.printer, s)
	if err != nil {
		return nil, asInput("", "", err)
	}
	set := read.settings("coupons: " + test)
	set.Placed, set.Place = true, geom.Point{X: (read.printer.Bed.X - p.X) / 2, Y: (read.printer.Bed.Y - p.Y) / 2}
	var data strings.Builder
	data.WriteString("test,batch,specimen,width_mm,thickness_mm,force_N,modulus_MPa\n")
	for i := range p.Coupons {
		fmt.Fprintf(&data, "%s,1,%s-%d,,,,\n", test, test, i+1)
	}
	rec, err := read.make(b.Out, "Coupons: "+t.Title, p.Print, set, p.Page, data.String())
	if err == nil {
		rec.Notes = append(rec.Notes, p.Notes...)
	}
	return rec, err
}

// AllowableRecord is what the coupons of one test say.
type AllowableRecord struct {
	Test         string   `json:"test"`
	Standard     string   `json:"standard"`
	Property     string   `json:"property"`
	N            int      `json:"coupons"`
	Batches      int      `json:"batches"`
	Mean         float64  `json:"mean_MPa"`
	SD           float64  `json:"standard_deviation_MPa"`
	CV           float64  `json:"coefficient_of_variation"`
	Distribution string   `json:"distribution"`
	Parameters   string   `json:"parameters"`
	OSL          float64  `json:"significance"`
	A            float64  `json:"A_MPa,omitempty" jsonschema_description:"99 % of the population exceed it, with 95 % confidence"`
	B            float64  `json:"B_MPa,omitempty" jsonschema_description:"90 % of the population exceed it, with 95 % confidence"`
	ModulusMPa   float64  `json:"modulus_MPa,omitempty"`
	Notes        []string `json:"notes"`
}

// CouponRecord is the answer of a fit of coupon data.
type CouponRecord struct {
	Tests []AllowableRecord `json:"tests"`
	File  string            `json:"file,omitempty" jsonschema_description:"the bead card"`
}

// Measured says what bead card a fit of coupon data writes.
type Measured struct {
	ID, Title string // without an id none is written
	Tow       string // card of the tow
	Spacing   string // of the strands in the coupons, with its unit
	// Temperature of the tests with its unit, "" means 23 °C; Conditioned
	// coupons were moist as in room air.
	Temperature string
	Conditioned bool
	Date        string
	Share       string // B, A or mean: what becomes the strength
}

func (m Measured) card() (coupon.BeadCard, error) {
	out := coupon.BeadCard{ID: m.ID, Title: m.Title, Tow: m.Tow, Date: m.Date}
	if m.ID == "" {
		return out, nil
	}
	if out.Title == "" {
		out.Title = "Measured bead"
	}
	v, err := unit.Parse(m.Spacing, unit.Length)
	if err != nil || !(v > 0) {
		return out, &InputError{[]Fault{{Key: "--spacing", What: fmt.Sprintf("is %q", m.Spacing), Remedy: "give the spacing of the strands in the coupons, such as \"0.8 mm\""}}}
	}
	out.Spacing = v
	var asked faultList
	out.Tested = material.State{Temperature: asked.quantity("--temperature", m.Temperature, unit.Temperature, defaultTemperature), Conditioned: m.Conditioned}
	if err := asked.err(); err != nil {
		return out, err
	}
	shares := map[string]coupon.Share{"": coupon.BValue, "B": coupon.BValue, "A": coupon.AValue, "mean": coupon.MeanValue}
	share, ok := shares[m.Share]
	if !ok {
		return out, &InputError{[]Fault{{Key: "--share", What: fmt.Sprintf("is %q", m.Share), Remedy: "write B, A or mean"}}}
	}
	out.Share = share
	return out, nil
}

// CouponFit evaluates test data and writes a measured bead card, unless its id
// is empty.
func CouponFit(ctx context.Context, dataPath string, m Measured, out string) (*CouponRecord, error) {
	c, err := m.card()
	if err != nil {
		return nil, err
	}
	data, err := readInput(dataPath, dataPath, maxDrawingBytes)
	if err != nil {
		return nil, err
	}
	res, err := coupon.ReadData(bytes.NewReader(data))
	if err != nil {
		return nil, dataFault(dataPath, err)
	}
	rec := &CouponRecord{}
	for _, r := range res {
		rec.Tests = append(rec.Tests, allowableRecord(r))
	}
	if c.ID == "" {
		return rec, ctx.Err()
	}
	text, err := c.Text(res)
	if err != nil {
		return nil, dataFault(dataPath, err)
	}
	parsed, err := card.Parse([]byte(text), c.ID+".toml")
	if err == nil {
		err = convert(parsed)
	}
	if err != nil {
		return nil, cardFaults(err)
	}
	rec.File = filepath.Join(out, c.ID+".toml")
	return rec, atomicfile.WriteFile(rec.File, []byte(text))
}

func allowableRecord(r coupon.Result) AllowableRecord {
	a := r.Allowables
	f := a.Fits[a.Chosen]
	out := AllowableRecord{
		Test: r.Test.Name, Standard: r.Test.Standard, Property: r.Test.Strength, N: a.N, Batches: r.Batches, Mean: a.Mean, SD: a.SD, CV: a.CV,
		Distribution: f.Name, Parameters: f.Description, OSL: f.OSL, ModulusMPa: r.Modulus, Notes: append([]string{}, a.Notes...),
	}
	if f.A > 0 {
		out.A = f.A
	}
	if f.B > 0 {
		out.B = f.B
	}
	return out
}
