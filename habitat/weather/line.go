package weather

import (
	"bufio"
	"bytes"
	"io"
	"strconv"

	"emberquilt/habitat/quantity"
)

// maxLine is the longest line that is read, in bytes. The longest of the
// formats have some 3,000.
const maxLine = 1 << 20

// lines gives a text line by line, without line ends, and counts them from 1.
type lines struct {
	scan *bufio.Scanner
	n    int
}

func newLines(r io.Reader) *lines {
	scan := bufio.NewScanner(r)
	scan.Buffer(make([]byte, 0, 256<<10), maxLine)
	return &lines{scan: scan}
}

// next gives the next line, good until the call after, and false at the end. A
// byte-order mark before the first line is dropped.
func (l *lines) next() ([]byte, bool) {
	if !l.scan.Scan() {
		return nil, false
	}
	l.n++
	line := l.scan.Bytes()
	if l.n == 1 {
		line = bytes.TrimPrefix(line, []byte("\xef\xbb\xbf"))
	}
	return line, true
}

// split cuts a line of comma-separated text into its first fields, at most
// cap(fields) of them, and drops the quotes around a field. It is here for its
// speed, with encoding/csv as the judge in its test; a quoted line break is not
// taken. ok is false where a quote does not close or stands inside a field.
func split(line []byte, fields [][]byte) (out [][]byte, ok bool) {
	out = fields[:0]
	for len(out) < cap(out) {
		if len(line) == 0 || line[0] != '"' {
			end := bytes.IndexByte(line, ',')
			if end < 0 {
				return append(out, line), bytes.IndexByte(line, '"') < 0
			}
			if bytes.IndexByte(line[:end], '"') >= 0 {
				return out, false
			}
			out, line = append(out, line[:end]), line[end+1:]
			continue
		}
		field, rest, good := quoted(line[1:])
		if !good {
			return out, false
		}
		out = append(out, field)
		if len(rest) == 0 {
			return out, true
		}
		if rest[0] != ',' {
			return out, false
		}
		line = rest[1:]
	}
	return out, true
}

// splitAll cuts a line of any number of fields.
func splitAll(line []byte) (fields [][]byte, ok bool) {
	return split(line, make([][]byte, 0, bytes.Count(line, []byte(","))+1))
}

// quoted gives the field up to its closing quote, and what follows that. A
// doubled quote inside stands for one; only such a field is copied.
func quoted(line []byte) (field, rest []byte, ok bool) {
	end := bytes.IndexByte(line, '"')
	if end < 0 {
		return nil, nil, false
	}
	if end+1 == len(line) || line[end+1] != '"' {
		return line[:end], line[end+1:], true
	}
	var text []byte
	for i := 0; i < len(line); i++ {
		if line[i] != '"' {
			text = append(text, line[i])
			continue
		}
		if i+1 < len(line) && line[i+1] == '"' {
			text = append(text, '"')
			i++
			continue
		}
		return text, line[i+1:], true
	}
	return nil, nil, false
}

// tenPowers are exact as float64 up to 10^22; fifteen are needed.
var tenPowers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// number reads a plain decimal number, blanks around it allowed. Up to fifteen
// digits it needs no memory: an integer below 2^53 over an exact power of ten
// is rounded once, as strconv rounds it. Other text goes to quantity.Parse.
func number(text []byte) (v float64, ok bool) {
	text = bytes.TrimSpace(text)
	digits, decimals, point, i := 0, 0, false, 0
	if i < len(text) && (text[i] == '-' || text[i] == '+') {
		i++
	}
	var mantissa int64
	for ; i < len(text); i++ {
		switch c := text[i]; {
		case c >= '0' && c <= '9':
			mantissa = mantissa*10 + int64(c-'0')
			digits++
			if point {
				decimals++
			}
		case c == '.' && !point:
			point = true
		default:
			digits = 99
		}
		if digits > 15 {
			v, err := quantity.Parse(string(text))
			return v, err == nil
		}
	}
	if digits == 0 {
		return 0, false
	}
	v = float64(mantissa) / tenPowers[decimals]
	if text[0] == '-' {
		v = -v
	}
	return v, true
}

// whole reads a whole number, blanks around it allowed.
func whole(text []byte) (n int, ok bool) {
	text = bytes.TrimSpace(text)
	if len(text) == 0 || len(text) > 9 {
		return 0, false
	}
	sign, i := 1, 0
	if text[0] == '-' || text[0] == '+' {
		if text[0] == '-' {
			sign = -1
		}
		if i = 1; len(text) == 1 {
			return 0, false
		}
	}
	for ; i < len(text); i++ {
		if text[i] < '0' || text[i] > '9' {
			return 0, false
		}
		n = n*10 + int(text[i]-'0')
	}
	return sign * n, true
}

// columns gives the bytes of a fixed-width line from one 1-based column to
// another, both included, and nil where the line is shorter.
func columns(line []byte, from, to int) []byte {
	if len(line) < to {
		return nil
	}
	return line[from-1 : to]
}

// formatFloat prints a number as short as it is exact.
func formatFloat(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
