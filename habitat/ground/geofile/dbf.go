package geofile

import (
	"bytes"
	"encoding/binary"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// table is the attribute table of a shapefile, a dBASE file.
//
// Source: dBASE III+ header as in the shapefile description and in Erik
// Bachmann's Xbase documentation, from memory.
type table struct {
	fields []tableField
	rows   []byte
	size   int // bytes a row
	count  int
	decode func([]byte) string
}

type tableField struct {
	name       string
	kind       byte
	from, size int
}

// newTable reads the header of the .dbf; nil means that there is none.
func newTable(b *builder, f shapefile) (*table, error) {
	if f.dbf == nil {
		b.say(ground.Missing, "there is no .dbf beside the .shp: the shapes have no names")
		return nil, nil
	}
	bad := func(found string) (*table, error) {
		return nil, &source.Error{Position: source.Position{File: b.layer.File}, Found: "the .dbf " + found, Accepts: "a dBASE table"}
	}
	d := f.dbf
	if len(d) < 33 {
		return bad("is cut off")
	}
	t := &table{count: int(binary.LittleEndian.Uint32(d[4:])), size: int(binary.LittleEndian.Uint16(d[10:]))}
	head := int(binary.LittleEndian.Uint16(d[8:]))
	if head < 33 || head > len(d) || t.size < 1 {
		return bad("has a header that cannot be right")
	}
	from := 1
	for at := 32; at+32 <= head && d[at] != 0x0d; at += 32 {
		raw := d[at : at+32]
		name, _, _ := bytes.Cut(raw[:11], []byte{0})
		field := tableField{string(name), raw[11], from, int(raw[16])}
		if field.kind == 'C' {
			field.size += int(raw[17]) << 8
		}
		if from += field.size; from > t.size {
			return bad("has fields longer than its rows")
		}
		t.fields = append(t.fields, field)
	}
	t.rows = d[head:]
	if whole := len(t.rows) / t.size; whole < t.count {
		b.say(ground.Assumed, "the .dbf says that it has %s rows and holds %s", grouped(int64(t.count)), grouped(int64(whole)))
		t.count = whole
	}
	t.rows = t.rows[:t.count*t.size]
	t.decode = b.codePage(f.cpg, d[29], t)
	for i := range t.fields {
		t.fields[i].name = t.decode([]byte(t.fields[i].name))
	}
	return t, nil
}

// row gives the values of a row; deleted rows are marked.
func (t *table) row(i int) (values Attributes, deleted bool) {
	if i >= t.count {
		return nil, false
	}
	row := t.rows[i*t.size : (i+1)*t.size]
	values = make(Attributes, 0, len(t.fields))
	for _, f := range t.fields {
		values = append(values, Attribute{f.name, t.value(f, row[f.from:f.from+f.size])})
	}
	return values, row[0] == '*'
}

func (t *table) value(f tableField, raw []byte) string {
	switch {
	case f.kind == 'C':
		return t.decode(bytes.TrimRight(raw, " \x00"))
	case (f.kind == 'I' || f.kind == '+') && f.size == 4:
		return strconv.Itoa(int(int32(binary.LittleEndian.Uint32(raw))))
	case (f.kind == 'O' || f.kind == 'B') && f.size == 8:
		return strconv.FormatFloat(math.Float64frombits(binary.LittleEndian.Uint64(raw)), 'g', -1, 64)
	case f.kind == 'M':
		return "" // memos lie in another file
	}
	text := strings.Trim(string(raw), " \x00")
	if strings.Trim(text, "*") == "" {
		return "" // a number that did not fit, or was never set
	}
	if f.kind == 'D' && len(text) == 8 {
		if text == "00000000" {
			return "" // as GDAL writes a day that was never set
		}
		return text[:4] + "-" + text[4:6] + "-" + text[6:]
	}
	if f.kind == 'N' || f.kind == 'F' {
		return plainNumber(text)
	}
	return text
}

// plainNumber gives 119.8004 for +1.19800400000e+002, and other text as it is.
func plainNumber(text string) string {
	if !strings.ContainsAny(text, "eE") {
		return text
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) || math.Abs(v) > 1e15 {
		return text
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// codePages are the character sets that are read, by the digits of their name
// in a .cpg file.
var codePages = map[string]*charmap.Charmap{
	"437": charmap.CodePage437, "850": charmap.CodePage850, "852": charmap.CodePage852, "858": charmap.CodePage858,
	"860": charmap.CodePage860, "863": charmap.CodePage863, "865": charmap.CodePage865, "866": charmap.CodePage866,
	"1250": charmap.Windows1250, "1251": charmap.Windows1251, "1252": charmap.Windows1252, "1253": charmap.Windows1253,
	"1254": charmap.Windows1254, "1255": charmap.Windows1255, "1256": charmap.Windows1256, "1257": charmap.Windows1257,
	"1258": charmap.Windows1258, "874": charmap.Windows874,
	"88591": charmap.Windows1252, "88592": charmap.ISO8859_2, "88593": charmap.ISO8859_3, "88594": charmap.ISO8859_4,
	"88595": charmap.ISO8859_5, "88597": charmap.ISO8859_7, "88599": charmap.ISO8859_9, "885915": charmap.ISO8859_15,
}

// languageDrivers maps the language byte of a .dbf to the same names.
// Source: ESRI, "Read and write shapefile and dBASE files encoded in various
// code pages", from memory.
var languageDrivers = map[byte]string{
	0x01: "437", 0x02: "850", 0x03: "1252", 0x57: "1252", 0x58: "1252", 0x59: "1252", 0x64: "852", 0x65: "866",
	0xc8: "1250", 0xc9: "1251", 0xca: "1254", 0xcb: "1253", 0xcc: "1257", 0x4f: "950",
}

// codePage chooses how the bytes of the table become text: as the .cpg says, as
// the language byte says, and else as UTF-8 where they are that.
func (b *builder) codePage(cpg []byte, driver byte, t *table) func([]byte) string {
	said := strings.ToUpper(strings.TrimSpace(string(bytes.TrimPrefix(cpg, utf8Mark))))
	digits := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, said)
	plain := func(raw []byte) string { return string(raw) }
	isUTF8 := utf8.Valid(t.rows)
	switch {
	case strings.Contains(said, "UTF") || digits == "65001":
		if isUTF8 {
			return plain
		}
		b.say(ground.Assumed, "the .cpg says UTF-8, but the .dbf is not; it was read as Windows-1252")
		return decoder(charmap.Windows1252)
	case codePages[digits] != nil:
		return decoder(codePages[digits])
	case said != "":
		b.say(ground.Assumed, "the code page %s of the .cpg is not known here; the .dbf was read as UTF-8 or Windows-1252", source.Quote(said))
	case codePages[languageDrivers[driver]] != nil && !ascii(t.rows):
		if isUTF8 && driver == 0x57 {
			return plain // many writers leave this byte as it is and write UTF-8
		}
		return decoder(codePages[languageDrivers[driver]])
	}
	if isUTF8 {
		return plain
	}
	if said == "" {
		b.say(ground.Assumed, "the .dbf does not say its code page; it was read as Windows-1252")
	}
	return decoder(charmap.Windows1252)
}

func ascii(data []byte) bool {
	for _, c := range data {
		if c >= 0x80 {
			return false
		}
	}
	return true
}

func decoder(set *charmap.Charmap) func([]byte) string {
	return func(raw []byte) string {
		var out strings.Builder
		for _, c := range raw {
			out.WriteRune(set.DecodeByte(c))
		}
		return out.String()
	}
}
