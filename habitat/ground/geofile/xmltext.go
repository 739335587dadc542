package geofile

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"emberquilt/habitat/source"
)

// mostDeep is how deep elements may lie in each other: folders in folders.
const mostDeep = 100

// markup walks over an XML file. Entities that the file defines for itself are
// refused by encoding/xml, so none can grow.
type markup struct {
	dec   *xml.Decoder
	file  string
	stack []string
}

func newMarkup(data []byte, file string) *markup {
	m := &markup{dec: xml.NewDecoder(bytes.NewReader(data)), file: file}
	m.dec.Entity = xml.HTMLEntity // &nbsp; and the like, which KML writers leave
	m.dec.CharsetReader = func(charset string, in io.Reader) (io.Reader, error) {
		digits := strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return r
			}
			return -1
		}, charset)
		switch lower := strings.ToLower(charset); {
		case strings.HasPrefix(lower, "utf-16"), lower == "us-ascii":
			return in, nil // made UTF-8 before the parser sees it
		case codePages[digits] != nil:
			return codePages[digits].NewDecoder().Reader(in), nil
		}
		return nil, fmt.Errorf("the character set %s is not known here", source.Quote(charset))
	}
	return m
}

func (m *markup) line() int {
	line, _ := m.dec.InputPos()
	return line
}

// next gives the next start, end or text; nil at the end of the file.
func (m *markup) next() (xml.Token, error) {
	t, err := m.dec.Token()
	if errors.Is(err, io.EOF) {
		return nil, nil
	}
	if err != nil {
		return nil, m.bad(err)
	}
	switch e := t.(type) {
	case xml.StartElement:
		if m.stack = append(m.stack, e.Name.Local); len(m.stack) > mostDeep {
			return nil, &source.Error{Position: m.at(), Found: "elements lie more than 100 deep in each other", Accepts: "a plain file"}
		}
	case xml.EndElement:
		m.stack = m.stack[:len(m.stack)-1]
	}
	return t, nil
}

// parent gives the element k levels above the innermost open one.
func (m *markup) parent(k int) string {
	if i := len(m.stack) - 1 - k; i >= 0 {
		return m.stack[i]
	}
	return ""
}

func (m *markup) at() source.Position { return source.Position{File: m.file, Line: m.line()} }

func (m *markup) bad(err error) error {
	e := &source.Error{Position: m.at(), Found: "bad XML: " + err.Error(), Accepts: "a whole XML file"}
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		e.Line, e.Found = syntax.Line, "bad XML: "+syntax.Msg
		if strings.Contains(syntax.Msg, "unexpected EOF") {
			e.Found, e.Hint = "the XML ends too early", "the file may be cut off"
		}
		if strings.Contains(syntax.Msg, "invalid character entity") {
			e.Hint = "entities that a file defines for itself are not followed"
		}
	}
	return e
}

// text gives the text within the element that has just begun, up to its end.
func (m *markup) text() (string, error) {
	var out strings.Builder
	depth := len(m.stack)
	for {
		t, err := m.next()
		if err != nil {
			return "", err
		}
		switch e := t.(type) {
		case nil:
			return out.String(), nil
		case xml.CharData:
			out.Write(e)
		case xml.EndElement:
			if len(m.stack) < depth {
				return out.String(), nil
			}
		}
	}
}

// skip passes over the element that has just begun.
func (m *markup) skip() error {
	depth := len(m.stack)
	for len(m.stack) >= depth {
		if t, err := m.next(); err != nil || t == nil {
			return err
		}
	}
	return nil
}

// attribute gives an attribute of an element.
func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}
