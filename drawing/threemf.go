package drawing

import (
	"archive/zip"
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// Read3MF reads the solid that a 3MF package builds: core specification and
// production extension (ISO/IEC 25422, 3MF Consortium Core Specification 1.3,
// Production Extension 1.1): model parts, objects, components, transforms,
// build items, units. Colours, materials, textures, thumbnails and metadata are
// not read; a package that requires an extension which shapes the solid is
// refused. All build items together are the part.
func Read3MF(data []byte, s Settings) (*Surface, error) {
	p, err := openPackage(data)
	if err != nil {
		return nil, err
	}
	root, err := p.rootModel()
	if err != nil {
		return nil, err
	}
	b := &builder{pack: p, models: map[string]*model{}}
	m, err := b.model(root)
	if err != nil {
		return nil, err
	}
	out := &b.out
	scale, _ := modelUnit(m.unit)
	out.Unit = m.unit
	if want, ok := unitLength(s.Units); s.Units != "" && (!ok || want != scale) {
		return nil, &Error{Place: root, What: fmt.Sprintf("the file states %s, the job %s", m.unit, s.Units), Remedy: "delete part.units, or correct it"}
	}
	if err := b.build(m, scale); err != nil {
		return nil, err
	}
	out.Notes = append(out.Notes, b.skipped.notes()...)
	return out, nil
}

// Limits of a package: they bound memory and time whatever it announces.
const (
	maxParts    = 10_000
	maxModels   = 1_000
	maxInflated = 512 << 20 // bytes of all parts read together
	maxToken    = 1 << 20   // bytes of one tag or text
	maxXMLDepth = 64
	maxPlaced   = 100_000 // objects placed by items and components
)

// partPackage is an opened package (Open Packaging Conventions, ISO/IEC
// 29500-2).
type partPackage struct {
	parts map[string]*zip.File // by name in small letters, with a leading /
	left  int64                // bytes that may still be inflated
}

func openPackage(data []byte) (*partPackage, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, &Error{What: "is no 3MF package: " + strings.TrimPrefix(err.Error(), "zip: "), Remedy: "export the part again"}
	}
	if len(z.File) > maxParts {
		return nil, &Error{What: fmt.Sprintf("the package holds more than %d parts", maxParts), Remedy: "export only the part"}
	}
	p := &partPackage{parts: map[string]*zip.File{}, left: maxInflated}
	for _, f := range z.File {
		name := partName(f.Name)
		if strings.HasSuffix(f.Name, "/") {
			continue
		}
		if p.parts[name] != nil {
			return nil, &Error{Place: f.Name, What: "this part is there twice", Remedy: "export the part again"}
		}
		p.parts[name] = f
	}
	if p.parts["/[content_types].xml"] == nil {
		return nil, &Error{What: "the package does not say what its parts are ([Content_Types].xml is missing)", Remedy: "export the part again"}
	}
	return p, nil
}

// partName returns the name by which a part is found: part names are compared
// without regard to capitals.
func partName(name string) string {
	return strings.ToLower(path.Clean("/" + name))
}

// partText reads a part within the package's budget and, per token, within
// that of a token.
type partText struct {
	pack  *partPackage
	r     io.ReadCloser
	token int
}

// errTooLarge stops a part that unpacks to more than the package may.
var errTooLarge = fmt.Errorf("the package unpacks to more than %d MiB", maxInflated>>20)

// errLongToken stops a tag or text that no model needs.
var errLongToken = fmt.Errorf("a tag or text of more than %d MiB", maxToken>>20)

// Read implements io.Reader.
func (t *partText) Read(b []byte) (int, error) {
	n, err := t.r.Read(b)
	if t.pack.left -= int64(n); t.pack.left < 0 {
		return 0, errTooLarge
	}
	if t.token -= n; t.token < 0 {
		return 0, errLongToken
	}
	return n, err
}

// open starts to read a part.
func (p *partPackage) open(name string) (*partText, error) {
	f := p.parts[partName(name)]
	if f == nil {
		return nil, &Error{Place: name, What: "this part of the package is missing", Remedy: "export the part again"}
	}
	if f.UncompressedSize64 > uint64(p.left) { // what it announces; Read counts what comes
		return nil, &Error{Place: name, What: errTooLarge.Error(), Remedy: "export the part with a coarser tolerance"}
	}
	r, err := f.Open()
	if err != nil {
		return nil, &Error{Place: name, What: "cannot be unpacked: " + err.Error(), Remedy: "export the part again"}
	}
	return &partText{pack: p, r: r, token: maxToken}, nil
}

// plainText gives the text as UTF-8: it drops a byte order mark, and turns
// UTF-16, which it knows by its mark.
func plainText(r io.Reader) io.Reader {
	b := bufio.NewReader(r)
	mark, _ := b.Peek(3)
	switch {
	case bytes.Equal(mark, []byte("\xef\xbb\xbf")):
		b.Discard(3)
	case bytes.HasPrefix(mark, []byte("\xff\xfe")):
		b.Discard(2)
		return &wideText{r: b, order: binary.LittleEndian}
	case bytes.HasPrefix(mark, []byte("\xfe\xff")):
		b.Discard(2)
		return &wideText{r: b, order: binary.BigEndian}
	}
	return b
}

// wideText turns UTF-16 into UTF-8.
type wideText struct {
	r     *bufio.Reader
	order binary.ByteOrder
	ready []byte
}

// Read implements io.Reader.
func (w *wideText) Read(b []byte) (int, error) {
	for len(w.ready) == 0 {
		u, err := w.unit()
		if err != nil {
			return 0, err
		}
		c := rune(u)
		if utf16.IsSurrogate(c) {
			if u, err = w.unit(); err != nil {
				return 0, err
			}
			c = utf16.DecodeRune(c, rune(u))
		}
		w.ready = utf8.AppendRune(w.ready, c)
	}
	n := copy(b, w.ready)
	w.ready = w.ready[:copy(w.ready, w.ready[n:])]
	return n, nil
}

func (w *wideText) unit() (uint16, error) {
	var two [2]byte
	_, err := io.ReadFull(w.r, two[:])
	return w.order.Uint16(two[:]), err
}

// relation is one relationship of a part.
type relation struct{ kind, target string }

const modelRelation = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"

// relations reads the relationships of a part, "/" for the package's own. Each
// must lead to a part of the package.
func (p *partPackage) relations(source string) ([]relation, error) {
	dir, file := path.Split(source)
	name := path.Join(dir, "_rels", file+".rels")
	if p.parts[partName(name)] == nil {
		return nil, nil
	}
	x, err := p.walker(name)
	if err != nil {
		return nil, err
	}
	var out []relation
	err = x.walk(func(e *xmlElement) error {
		if e.local != "Relationship" {
			return nil
		}
		r := relation{e.attr("Type"), e.attr("Target")}
		if strings.EqualFold(e.attr("TargetMode"), "External") || strings.Contains(r.target, "://") {
			return x.fail(fmt.Sprintf("the relationship %q leads out of the package to %q", shortened([]byte(e.attr("Id"))), shortened([]byte(r.target))), "a package must hold all its parts: export the part again")
		}
		if !strings.HasPrefix(r.target, "/") {
			r.target = path.Join(dir, r.target)
		}
		if p.parts[partName(r.target)] == nil {
			return x.fail(fmt.Sprintf("a relationship leads to %q, which is not in the package", shortened([]byte(r.target))), "export the part again")
		}
		out = append(out, r)
		return nil
	}, nil)
	return out, err
}

// rootModel returns the name of the part that the package builds.
func (p *partPackage) rootModel() (string, error) {
	list, err := p.relations("/")
	if err != nil {
		return "", err
	}
	root := ""
	for _, r := range list {
		if r.kind != modelRelation {
			continue
		}
		if root != "" && partName(r.target) != partName(root) {
			return "", &Error{Place: "/_rels/.rels", What: "the package names two models to build", Remedy: "export the part again"}
		}
		root = r.target
	}
	if root == "" {
		return "", &Error{Place: "/_rels/.rels", What: "the package names no model", Remedy: "is it a 3MF file? export the part again"}
	}
	return root, nil
}

// xmlWalk goes through a document element by element. It holds what
// encoding/xml's raw tokens leave open: that tags match, and what prefixes
// mean.
type xmlWalk struct {
	dec    *xml.Decoder
	text   *partText
	name   string
	stack  []xml.Name
	spaces map[string]string // prefix: namespace
}

// xmlElement is a start tag.
type xmlElement struct {
	space, local string // space is the namespace, not the prefix
	parent       string // local name of the element around, "" for the root
	attrs        []xml.Attr
}

// attr returns the value of an attribute without prefix, "" if there is none.
func (e *xmlElement) attr(name string) string {
	v, _ := e.find(name)
	return v
}

func (e *xmlElement) find(name string) (string, bool) {
	for i := range e.attrs {
		if a := &e.attrs[i]; a.Name.Local == name && a.Name.Space == "" {
			return a.Value, true
		}
	}
	return "", false
}

// walker starts to go through a part.
func (p *partPackage) walker(name string) (*xmlWalk, error) {
	text, err := p.open(name)
	if err != nil {
		return nil, err
	}
	x := &xmlWalk{dec: xml.NewDecoder(plainText(text)), text: text, name: name, spaces: map[string]string{"xml": "xml"}}
	x.dec.CharsetReader = func(label string, r io.Reader) (io.Reader, error) {
		if strings.EqualFold(label, "utf-16") {
			return r, nil // turned into UTF-8 already, or no legal text
		}
		return nil, fmt.Errorf("the text claims to be %q; UTF-8 and UTF-16 are allowed", shortened([]byte(label)))
	}
	return x, nil
}

func (x *xmlWalk) fail(what, remedy string) error {
	line, _ := x.dec.InputPos()
	return &Error{Place: fmt.Sprintf("%s, line %d", x.name, line), What: what, Remedy: remedy}
}

const damaged = "the file is damaged or of another kind: export the part again"

// walk calls open for each start tag and, unless nil, shut for each end tag
// with its local name.
func (x *xmlWalk) walk(open func(e *xmlElement) error, shut func(local string) error) error {
	defer x.text.r.Close()
	for seen := false; ; {
		x.text.token = maxToken
		token, err := x.dec.RawToken()
		if errors.Is(err, io.EOF) {
			if len(x.stack) > 0 || !seen {
				return x.fail("the text ends too early", damaged)
			}
			return nil
		}
		if errors.Is(err, errTooLarge) || errors.Is(err, errLongToken) {
			return x.fail(err.Error(), "export the part with a coarser tolerance")
		}
		if err != nil {
			return x.fail("cannot be read: "+err.Error(), damaged)
		}
		switch t := token.(type) {
		case xml.StartElement:
			if seen && len(x.stack) == 0 {
				return x.fail("a second document follows the first", damaged)
			}
			seen = true
			err = x.open(t, open)
		case xml.EndElement:
			err = x.shut(t, shut)
		case xml.Directive:
			err = x.fail("holds a document type definition, which 3MF forbids", "export the part again")
		}
		if err != nil {
			return err
		}
	}
}

func (x *xmlWalk) open(t xml.StartElement, open func(e *xmlElement) error) error {
	if len(x.stack) == maxXMLDepth {
		return x.fail(fmt.Sprintf("elements nest more than %d deep", maxXMLDepth), damaged)
	}
	for _, a := range t.Attr {
		switch {
		case a.Name.Space == "xmlns":
			x.spaces[a.Name.Local] = a.Value
		case a.Name.Space == "" && a.Name.Local == "xmlns":
			x.spaces[""] = a.Value
		}
	}
	e := xmlElement{space: x.spaces[t.Name.Space], local: t.Name.Local, attrs: t.Attr}
	if len(x.stack) > 0 {
		e.parent = x.stack[len(x.stack)-1].Local
	}
	x.stack = append(x.stack, t.Name)
	return open(&e)
}

func (x *xmlWalk) shut(t xml.EndElement, shut func(local string) error) error {
	n := len(x.stack)
	if n == 0 || x.stack[n-1] != t.Name {
		return x.fail(fmt.Sprintf("the end tag %q has no start tag", shortened([]byte(t.Name.Local))), damaged)
	}
	x.stack = x.stack[:n-1]
	if shut == nil {
		return nil
	}
	return shut(t.Name.Local)
}
