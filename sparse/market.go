package sparse

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
)

// marketHead begins a Matrix Market file of a real symmetric matrix (R. F.
// Boisvert, R. Pozo, K. A. Remington, The Matrix Market exchange formats, NIST
// Interagency Report 5935, 1996).
const marketHead = "%%MatrixMarket matrix coordinate real symmetric"

// marketLimit bounds the order and the entries read; both must fit 32 bits.
const marketLimit = 1 << 30

// WriteMarket writes the matrix as a Matrix Market file, values in full.
func (a *Symmetric) WriteMarket(w io.Writer) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s\n%d %d %d\n", marketHead, a.N, a.N, len(a.Row))
	var line []byte
	for j := range a.N {
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			line = strconv.AppendInt(line[:0], int64(a.Row[p])+1, 10)
			line = append(line, ' ')
			line = strconv.AppendInt(line, int64(j)+1, 10)
			line = append(line, ' ')
			line = strconv.AppendFloat(line, a.Val[p], 'g', -1, 64)
			b.Write(append(line, '\n'))
		}
	}
	return b.Flush()
}

// ReadMarket reads a real symmetric matrix from a Matrix Market file in
// coordinate form. Entries may stand in any order; those named twice are added.
// Errors name the line.
func ReadMarket(r io.Reader) (*Symmetric, error) {
	in := bufio.NewScanner(r)
	in.Buffer(nil, 1<<16)
	m := &market{in: in}
	head, err := m.next(true)
	if err != nil {
		return nil, err
	}
	if !strings.EqualFold(strings.Join(head, " "), marketHead) && !strings.EqualFold(strings.Join(head, " "), strings.Replace(marketHead, "real", "integer", 1)) {
		return nil, m.fault("expected %q; convert the file to that form", marketHead)
	}
	size, err := m.next(false)
	if err != nil {
		return nil, err
	}
	return m.entries(size)
}

// market reads lines and knows where it is.
type market struct {
	in   *bufio.Scanner
	line int
}

func (m *market) fault(format string, args ...any) error {
	return fmt.Errorf("matrix market line %d: %s", m.line, fmt.Sprintf(format, args...))
}

// next returns the fields of the next line, past comments and empty lines
// unless it is the head.
func (m *market) next(head bool) ([]string, error) {
	for m.in.Scan() {
		m.line++
		text := strings.TrimSpace(m.in.Text())
		if head || (text != "" && text[0] != '%') {
			return strings.Fields(text), nil
		}
	}
	if err := m.in.Err(); err != nil {
		return nil, m.fault("%v", err)
	}
	m.line++
	return nil, m.fault("file ends early")
}

// integer reads a whole number from lo to hi.
func (m *market) integer(text string, lo, hi int) (int, error) {
	v, err := strconv.Atoi(text)
	if err != nil || v < lo || v > hi {
		return 0, m.fault("%q is no whole number from %d to %d", text, lo, hi)
	}
	return v, nil
}

type triple struct {
	row, col int32
	val      float64
}

// entries reads what follows the line of sizes.
func (m *market) entries(size []string) (*Symmetric, error) {
	if len(size) != 3 || size[0] != size[1] {
		return nil, m.fault("expected rows, columns and entries of a square matrix")
	}
	n, err := m.integer(size[0], 0, marketLimit)
	if err != nil {
		return nil, err
	}
	count, err := m.integer(size[2], 0, marketLimit)
	if err != nil {
		return nil, err
	}
	var list []triple // grows with the file, whatever the head claims
	for range count {
		fields, err := m.next(false)
		if err != nil {
			return nil, err
		}
		t, err := m.triple(fields, n)
		if err != nil {
			return nil, err
		}
		list = append(list, t)
	}
	if n > 64+64*len(list) {
		return nil, m.fault("order %d with %d entries: most rows would be empty", n, len(list))
	}
	return fromTriples(n, list), nil
}

func (m *market) triple(fields []string, n int) (triple, error) {
	if len(fields) != 3 {
		return triple{}, m.fault("expected row, column and value")
	}
	i, err := m.integer(fields[0], 1, n)
	if err != nil {
		return triple{}, err
	}
	j, err := m.integer(fields[1], 1, n)
	if err != nil {
		return triple{}, err
	}
	v, err := strconv.ParseFloat(fields[2], 64)
	if err != nil || v-v != 0 {
		return triple{}, m.fault("%q is no finite number", fields[2])
	}
	return triple{int32(max(i, j) - 1), int32(min(i, j) - 1), v}, nil
}

// fromTriples builds a matrix; entries named twice are added in their order.
func fromTriples(n int, list []triple) *Symmetric {
	slices.SortStableFunc(list, func(p, q triple) int {
		return cmp.Or(cmp.Compare(p.col, q.col), cmp.Compare(p.row, q.row))
	})
	a := &Symmetric{N: n, ColPtr: make([]int, n+1)}
	for k, t := range list {
		if last := len(a.Row) - 1; k > 0 && list[k-1].col == t.col && list[k-1].row == t.row {
			a.Val[last] += t.val
			continue
		}
		a.Row, a.Val = append(a.Row, t.row), append(a.Val, t.val)
		a.ColPtr[t.col+1]++
	}
	for j := range n {
		a.ColPtr[j+1] += a.ColPtr[j]
	}
	return a
}
