package structure

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"hash/fnv"
	"io"
)

// nameCharacters says of each font which characters its codes are: all that it has a glyph
// for, and no others. The codes are the characters themselves, and the library says so with
// one range of all 65,536: that holds characters that nobody may name, and a range means
// nothing past the first 256 (ISO 32000-1, 9.10.3; ISO 14289-1, 7.21.7).
func (f *file) nameCharacters() error {
	for number, body := range f.bodies {
		head := body[:min(len(body), 400)] // a font is short
		if !bytes.Contains(head, []byte("/Subtype /Type0\n")) {
			continue
		}
		glyphs, err := f.glyphs(numberAfter(head, "/DescendantFonts ["))
		if err != nil {
			return fmt.Errorf("font %d of the PDF: %w", number, err)
		}
		named := numberAfter(head, "/ToUnicode ")
		if f.body(named) == nil {
			return fmt.Errorf("font %d of the PDF has no characters", number)
		}
		data := characterMap(glyphs)
		f.bodies[named] = fmt.Appendf(nil, "%d 0 obj\n<</Length %d>>\nstream\n%s\nendstream\nendobj\n", named, len(data), data)
		f.tag(number, glyphs)
	}
	return nil
}

// tag puts six letters before a font's name, which say that it is a part of a font, of these
// glyphs (ISO 32000-1, 9.6.4).
func (f *file) tag(font int, glyphs []byte) {
	h := fnv.New32a()
	h.Write(glyphs)
	name := []byte("/")
	for sum := h.Sum32(); len(name) < 7; sum /= 26 {
		name = append(name, 'A'+byte(sum%26))
	}
	name = append(name, '+')
	descendant := numberAfter(f.bodies[font], "/DescendantFonts [")
	for _, number := range []int{font, descendant, numberAfter(f.body(descendant), "/FontDescriptor ")} {
		if body := f.body(number); body != nil {
			f.bodies[number] = bytes.ReplaceAll(body, []byte("/utf8"), name)
		}
	}
}

// numberAfter reads the number behind a text; 0, which no object has, where there is none.
func numberAfter(body []byte, text string) (number int) {
	_, rest, _ := bytes.Cut(body, []byte(text))
	for _, c := range rest[:min(len(rest), 9)] {
		if c < '0' || c > '9' {
			break
		}
		number = 10*number + int(c-'0')
	}
	return number
}

// body is that of an object, nil where there is none.
func (f *file) body(number int) []byte {
	if number >= len(f.bodies) {
		return nil
	}
	return f.bodies[number]
}

// glyphs gives a font's map from codes to glyphs, two bytes a code.
func (f *file) glyphs(font int) ([]byte, error) {
	at := numberAfter(f.body(font), "/CIDToGIDMap ")
	if at == 0 {
		return nil, fmt.Errorf("object %d names no glyphs", font)
	}
	_, packed, ok := bytes.Cut(f.body(at), []byte("/Filter /FlateDecode>>\nstream\n"))
	if !ok {
		return nil, fmt.Errorf("the glyphs of object %d are of no known form", font)
	}
	r, err := zlib.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

// mostRanges is how many ranges one block of a map holds.
const mostRanges = 100

// characterMap is a map from codes to the same characters (ISO 32000-1, 9.10.3), for the
// codes that have a glyph.
func characterMap(glyphs []byte) []byte {
	var ranges [][2]int
	for code := 1; 2*code+1 < len(glyphs); code++ {
		if glyphs[2*code] == 0 && glyphs[2*code+1] == 0 || code == 0xFEFF || code == 0xFFFE {
			continue
		}
		if last := len(ranges) - 1; last >= 0 && ranges[last][1] == code-1 && code&0xFF != 0 {
			ranges[last][1] = code
			continue
		}
		ranges = append(ranges, [2]int{code, code})
	}
	var b bytes.Buffer
	b.WriteString("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n" +
		"/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n" +
		"/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n" +
		"1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n")
	for len(ranges) > 0 {
		n := min(len(ranges), mostRanges)
		fmt.Fprintf(&b, "%d beginbfrange\n", n)
		for _, r := range ranges[:n] {
			fmt.Fprintf(&b, "<%04X> <%04X> <%04X>\n", r[0], r[1], r[0])
		}
		b.WriteString("endbfrange\n")
		ranges = ranges[n:]
	}
	b.WriteString("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend")
	return b.Bytes()
}
