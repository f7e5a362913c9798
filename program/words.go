package program

import (
	"bytes"
	"fmt"
	"io"

	"sinew/printer"
)

// Limits of a block, against programs that are none.
const (
	maxLine  = 64 << 10 // bytes
	maxWords = 64
	// maxDigits of a number fit an exact integer in a float64.
	maxDigits = 15
)

// word is a letter with its number.
type word struct {
	letter byte
	column int32
	value  float64
}

// SyntaxError is a block that cannot be read.
type SyntaxError struct {
	Line, Column int
	What, Remedy string
}

// Error gives "line 12, column 3: what; remedy".
func (e *SyntaxError) Error() string {
	return fmt.Sprintf("line %d, column %d: %s; %s", e.Line, e.Column, e.What, e.Remedy)
}

// lines reads blocks one by one from a buffer of fixed size.
type lines struct {
	r          io.Reader
	buf        []byte
	from, to   int
	end        bool
	line       int
	bytes      int64
	open, shut []byte
	words      []word
}

func newLines(r io.Reader, w printer.Words) *lines {
	return &lines{r: r, buf: make([]byte, 4*maxLine), open: []byte(w.CommentOpen), shut: []byte(w.CommentClose), words: make([]word, 0, maxWords)}
}

// next returns the next line without its end, io.EOF after the last one.
func (l *lines) next() ([]byte, error) {
	for {
		if n := bytes.IndexByte(l.buf[l.from:l.to], '\n'); n >= 0 {
			return l.take(n, 1)
		}
		if l.to-l.from > maxLine {
			return nil, &SyntaxError{l.line + 1, 1, fmt.Sprintf("the line is longer than %d bytes", maxLine), "this is no machine program"}
		}
		if l.end {
			if l.from == l.to {
				return nil, io.EOF
			}
			return l.take(l.to-l.from, 0)
		}
		if err := l.fill(); err != nil {
			return nil, err
		}
	}
}

func (l *lines) take(n, skip int) ([]byte, error) {
	line := l.buf[l.from : l.from+n]
	l.from += n + skip
	l.bytes += int64(n + skip)
	l.line++
	if n > maxLine {
		return nil, &SyntaxError{l.line, 1, fmt.Sprintf("the line is longer than %d bytes", maxLine), "this is no machine program"}
	}
	return bytes.TrimSuffix(line, []byte("\r")), nil
}

func (l *lines) fill() error {
	l.to = copy(l.buf, l.buf[l.from:l.to])
	l.from = 0
	for tries := 0; tries < 100; tries++ {
		n, err := l.r.Read(l.buf[l.to:])
		l.to += n
		if err == io.EOF {
			l.end = true
			return nil
		}
		if err != nil {
			return fmt.Errorf("program, after line %d: %w", l.line, err)
		}
		if n > 0 {
			return nil
		}
	}
	return io.ErrNoProgress
}

// split reads the words of a line; comments are skipped.
func (l *lines) split(line []byte) ([]word, error) {
	words := l.words[:0]
	for i := 0; i < len(line); {
		c := line[i]
		switch {
		case c == ' ' || c == '\t':
			i++
		case c >= 'A' && c <= 'Z':
			v, n := number(line[i+1:])
			if n == 0 {
				return nil, l.bad(i, fmt.Sprintf("the letter %c has no number that can be read", c), "write it as in X12.5")
			}
			if len(words) == maxWords {
				return nil, l.bad(i, "too many words in one block", "divide it")
			}
			words = append(words, word{c, int32(i + 1), v})
			i += 1 + n
		case bytes.HasPrefix(line[i:], l.open):
			if len(l.shut) == 0 {
				return words, nil
			}
			n := bytes.Index(line[i:], l.shut)
			if n < 0 {
				return nil, l.bad(i, "the comment does not end", "close it with "+string(l.shut))
			}
			i += n + len(l.shut)
		default:
			return nil, l.bad(i, fmt.Sprintf("%q starts no word", rune(c)), "a word is a capital letter with a number")
		}
	}
	return words, nil
}

func (l *lines) bad(i int, what, remedy string) error {
	return &SyntaxError{l.line, i + 1, what, remedy}
}

// number reads a decimal number at the start of s and its length, 0 when there
// is none or it has too many digits.
func number(s []byte) (v float64, n int) {
	i, neg := 0, false
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		neg = s[i] == '-'
		i++
	}
	whole, digits, after := int64(0), 0, -1
	for ; i < len(s); i++ {
		c := s[i]
		if c == '.' && after < 0 {
			after = 0
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		whole = whole*10 + int64(c-'0')
		if digits++; digits > maxDigits {
			return 0, 0
		}
		if after >= 0 {
			after++
		}
	}
	if digits == 0 {
		return 0, 0
	}
	v = float64(whole)
	if after > 0 {
		v /= powers[after]
	}
	if neg {
		v = -v
	}
	return v, i
}

// powers of ten are exact in a float64, so that a number read is the nearest
// to the decimal.
var powers = [maxDigits + 1]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}
