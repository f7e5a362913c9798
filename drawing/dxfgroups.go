package drawing

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// group is one pair of a DXF file: a code that says what the value means.
type group struct {
	code  int
	value string
	at    int // line of the code, or byte offset in a binary file
}

// groupReader reads the pairs of a DXF file, in its text or binary form.
type groupReader struct {
	data   []byte
	pos    int
	line   int
	binary bool
	wide   bool // binary: codes of two bytes, since R13
}

// binaryMark opens a binary file.
const binaryMark = "AutoCAD Binary DXF\r\n\x1a\x00"

// readAll reads a file up to the limit.
func readAll(r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("the drawing cannot be read: %w", err)
	}
	if len(data) > maxBytes {
		return nil, &Error{What: "the file is larger than 64 MiB", Remedy: "export the part's outline alone"}
	}
	return data, nil
}

func newGroupReader(data []byte) *groupReader {
	if rest, ok := bytes.CutPrefix(data, []byte(binaryMark)); ok {
		// The first code is 0: one zero byte before "SECTION", or two.
		return &groupReader{data: data, pos: len(binaryMark), binary: true, wide: len(rest) > 1 && rest[1] == 0}
	}
	return &groupReader{data: bytes.TrimPrefix(data, []byte("\ufeff"))}
}

// place names a position of the file.
func (r *groupReader) place(at int) string {
	if r.binary {
		return fmt.Sprintf("byte %d", at)
	}
	return fmt.Sprintf("line %d", at)
}

func (r *groupReader) fail(at int, what, remedy string) error {
	return &Error{Place: r.place(at), What: what, Remedy: remedy}
}

// exportAgain is the remedy for a file that is no DXF or a broken one.
const exportAgain = "export the drawing again, as DXF"

// next returns the next pair; io.EOF at the end of the file.
func (r *groupReader) next() (group, error) {
	if r.pos >= len(r.data) {
		return group{}, io.EOF
	}
	if r.binary {
		return r.nextBinary()
	}
	at := r.line + 1
	text := strings.TrimSpace(r.textLine())
	code, err := strconv.Atoi(text)
	if err != nil {
		if text == "" && r.pos >= len(r.data) {
			return group{}, io.EOF
		}
		return group{}, r.fail(at, fmt.Sprintf("%.40q stands where a group code is wanted", text), exportAgain)
	}
	if r.pos >= len(r.data) {
		return group{}, r.fail(at, "the file ends after a group code", exportAgain)
	}
	return group{code, r.textLine(), at}, nil
}

// textLine returns the next line without its end.
func (r *groupReader) textLine() string {
	r.line++
	rest := r.data[r.pos:]
	n := bytes.IndexByte(rest, '\n')
	if n < 0 {
		r.pos = len(r.data)
		return string(bytes.TrimRight(rest, "\r"))
	}
	r.pos += n + 1
	return string(bytes.TrimRight(rest[:n], "\r"))
}

func (r *groupReader) nextBinary() (group, error) {
	at := r.pos
	code, ok := r.code()
	if !ok {
		return group{}, r.fail(at, "the file ends within a group", exportAgain)
	}
	value, ok := r.binaryValue(code)
	if !ok {
		return group{}, r.fail(at, fmt.Sprintf("the value of group %d is cut off", code), exportAgain)
	}
	return group{code, value, at}, nil
}

func (r *groupReader) take(n int) ([]byte, bool) {
	if n > len(r.data)-r.pos {
		r.pos = len(r.data)
		return nil, false
	}
	b := r.data[r.pos : r.pos+n]
	r.pos += n
	return b, true
}

// code reads a group code: two bytes, or in old files one byte, 255 standing
// before a code of two.
func (r *groupReader) code() (int, bool) {
	if !r.wide {
		b, ok := r.take(1)
		if !ok {
			return 0, false
		}
		if b[0] != 255 {
			return int(b[0]), true
		}
	}
	b, ok := r.take(2)
	if !ok {
		return 0, false
	}
	return int(int16(binary.LittleEndian.Uint16(b))), true
}

// binaryValue reads a value; its form follows from the code.
func (r *groupReader) binaryValue(code int) (string, bool) {
	switch binaryForm(code) {
	case 'd':
		b, ok := r.take(8)
		if !ok {
			return "", false
		}
		return strconv.FormatFloat(math.Float64frombits(binary.LittleEndian.Uint64(b)), 'g', -1, 64), true
	case '1', '2', '4', '8':
		return r.integer(int(binaryForm(code) - '0'))
	case 'c':
		n, ok := r.take(1)
		if !ok {
			return "", false
		}
		_, ok = r.take(int(n[0]))
		return "", ok
	}
	n := bytes.IndexByte(r.data[r.pos:], 0)
	if n < 0 {
		return "", false
	}
	text := string(r.data[r.pos : r.pos+n])
	r.pos += n + 1
	return text, true
}

func (r *groupReader) integer(size int) (string, bool) {
	b, ok := r.take(size)
	if !ok {
		return "", false
	}
	var full [8]byte
	copy(full[:], b)
	v := int64(binary.LittleEndian.Uint64(full[:]))
	shift := 64 - 8*size
	return strconv.FormatInt(v<<shift>>shift, 10), true // sign extended
}

// binaryForm returns the form of a value by its code, after the format's
// reference: d double, 1 2 4 8 integers by size, c chunk with a length byte, s
// text that ends with a zero byte.
func binaryForm(code int) byte {
	for _, f := range [...]struct {
		lo, hi int
		form   byte
	}{
		{10, 59, 'd'}, {60, 79, '2'}, {90, 99, '4'}, {110, 149, 'd'}, {160, 169, '8'},
		{170, 179, '2'}, {210, 239, 'd'}, {270, 289, '2'}, {290, 299, '1'}, {310, 319, 'c'},
		{370, 389, '2'}, {400, 409, '2'}, {420, 429, '4'}, {440, 459, '4'}, {460, 469, 'd'},
		{1004, 1004, 'c'}, {1010, 1059, 'd'}, {1060, 1070, '2'}, {1071, 1071, '4'},
	} {
		if code >= f.lo && code <= f.hi {
			return f.form
		}
	}
	return 's'
}
