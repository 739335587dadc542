package prescription

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"emberquilt/habitat/source"
)

// node is a JSON value with the line it ends on. value is nil, bool, string,
// json.Number, []*node or []member.
type node struct {
	value any
	line  int
}

// member is one key of an object, in file order, repeats included.
type member struct {
	key string
	*node
}

// deepest is how deep values may nest; the format itself nests three deep.
const deepest = 16

// parse reads a whole JSON text and keeps the lines.
func parse(file string, data []byte) (*node, error) {
	data, err := source.Text(file, data, "a "+Format+" file")
	if err != nil {
		return nil, err
	}
	at := source.Position{File: file}
	p := &parser{data: data, decoder: json.NewDecoder(bytes.NewReader(data))}
	p.decoder.UseNumber()
	root, err := p.value(0)
	if err == nil {
		if _, after := p.decoder.Token(); after != io.EOF {
			err = errors.New("something stands after the end of the value")
		}
	}
	if err != nil {
		at.Line = p.line()
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			at.Line = 1 + bytes.Count(data[:min(max(int(syntax.Offset), 0), len(data))], []byte("\n"))
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			err = errors.New("the file ends in the middle")
		}
		return nil, &source.Error{Position: at, Found: "is not JSON: " + err.Error(), Accepts: "a " + Format + " file"}
	}
	return root, nil
}

type parser struct {
	data    []byte
	decoder *json.Decoder
}

func (p *parser) line() int { return 1 + bytes.Count(p.data[:p.decoder.InputOffset()], []byte("\n")) }

func (p *parser) value(depth int) (*node, error) {
	if depth > deepest {
		return nil, fmt.Errorf("values nest deeper than %d", deepest)
	}
	token, err := p.decoder.Token()
	if err != nil {
		return nil, err
	}
	n := &node{value: token, line: p.line()}
	switch token {
	case json.Delim('['):
		items := []*node{}
		for p.decoder.More() {
			item, err := p.value(depth + 1)
			if err != nil {
				return nil, err
			}
			items = append(items, item)
		}
		n.value = items
	case json.Delim('{'):
		members := []member{}
		for p.decoder.More() {
			key, err := p.decoder.Token()
			if err != nil {
				return nil, err
			}
			line := p.line()
			item, err := p.value(depth + 1)
			if err != nil {
				return nil, err
			}
			item.line = line // complaints go to the key
			members = append(members, member{key.(string), item})
		}
		n.value = members
	default:
		return n, nil
	}
	_, err = p.decoder.Token() // the closing bracket
	return n, err
}

// kind names what a value is, for messages.
func (n *node) kind() string {
	switch v := n.value.(type) {
	case nil:
		return "null"
	case bool:
		return fmt.Sprint(v)
	case string:
		return source.Quote(v)
	case json.Number:
		return v.String()
	case []*node:
		return fmt.Sprintf("a list of %d", len(v))
	}
	return "an object"
}
