package structure

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// glyphsOf is a font's map that has a glyph for some codes.
func glyphsOf(codes ...int) []byte {
	all := make([]byte, 2*65536)
	for _, code := range codes {
		all[2*code+1] = 1
	}
	return all
}

func TestCharacterMap(t *testing.T) {
	text := string(characterMap(glyphsOf(0, 0x41, 0x42, 0x43, 0xFF, 0x100, 0x2013, 0xFEFF, 0xFFFE)))
	want := "4 beginbfrange\n<0041> <0043> <0041>\n<00FF> <00FF> <00FF>\n<0100> <0100> <0100>\n<2013> <2013> <2013>\nendbfrange\n"
	if !strings.Contains(text, want) {
		t.Errorf("%s\nlacks\n%s", text, want)
	}
	var many []int
	for i := range 230 {
		many = append(many, 0x20+2*i)
	}
	text = string(characterMap(glyphsOf(many...)))
	for _, want := range []string{"100 beginbfrange", "30 beginbfrange"} { // a block holds a hundred
		if !strings.Contains(text, "\n"+want+"\n") {
			t.Errorf("there is no %q", want)
		}
	}
	if got := strings.Count(text, "100 beginbfrange"); got != 2 {
		t.Errorf("%d full blocks", got)
	}
	if text := string(characterMap(glyphsOf())); strings.Contains(text, "bfrange") {
		t.Errorf("a font without glyphs has ranges: %s", text)
	}
}

func TestFontsNameTheirCharacters(t *testing.T) {
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	if _, err := z.Write(glyphsOf(0x41)); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	font := "1 0 obj\n<</Type /Font\n/Subtype /Type0\n/BaseFont /utf8text\n/Encoding /Identity-H\n/DescendantFonts [2 0 R]\n/ToUnicode 3 0 R>>\nendobj\n"
	glyphs := fmt.Sprintf("4 0 obj\n<</Length %d/Filter /FlateDecode>>\nstream\n%s\nendstream\nendobj\n", packed.Len(), packed.Bytes())
	fileOf := func(bodies ...string) *file {
		f := &file{bodies: make([][]byte, 1, 5)}
		for _, body := range bodies {
			f.bodies = append(f.bodies, []byte(body))
		}
		return f
	}
	const descendant, whole = "2 0 obj\n<</Type /Font\n/CIDToGIDMap 4 0 R>>\nendobj\n", "3 0 obj\n<</Length 1>>\nstream\n \nendstream\nendobj\n"
	f := fileOf(font, descendant, whole, glyphs)
	if err := f.nameCharacters(); err != nil || !bytes.Contains(f.bodies[3], []byte("<0041> <0041> <0041>")) {
		t.Errorf("%v: %s", err, f.bodies[3])
	}
	if !regexp.MustCompile(`/BaseFont /[A-Z]{6}\+text\n`).Match(f.bodies[1]) {
		t.Errorf("the font does not say that it is a part: %s", f.bodies[1])
	}
	for want, f := range map[string]*file{
		"names no glyphs":     fileOf(font, "2 0 obj\n<</Type /Font>>\nendobj\n", whole, glyphs),
		"of no known form":    fileOf(font, descendant, whole),
		"has no characters":   {bodies: [][]byte{nil, []byte(strings.Replace(font, "3 0 R", "9 0 R", 1)), []byte(descendant), nil, []byte(glyphs)}},
		"zlib: invalid":       fileOf(font, descendant, whole, "4 0 obj\n<</Length 3/Filter /FlateDecode>>\nstream\nabc\nendstream\nendobj\n"),
		"object 7777 names n": fileOf(strings.Replace(font, "2 0 R", "7777 0 R", 1), descendant, whole, glyphs),
	} {
		if err := f.nameCharacters(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, not %q", err, want)
		}
	}
}
