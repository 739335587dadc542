package prescription

import (
	"errors"
	"fmt"

	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

// node is a JSON value with the line of its key, or its own where it has none.
type node struct {
	jsonscan.Value
	line int
}

// member is one key of an object, in file order, repeats included.
type member struct {
	key string
	*node
}

// parse reads a whole JSON text.
func (f *fields) parse(data []byte) (*node, error) {
	data, err := source.Text(f.file, data, "a "+Format+" file")
	if err != nil {
		return nil, err
	}
	f.places.Data = data
	root, err := jsonscan.Parse(data)
	var syntax *jsonscan.SyntaxError
	if errors.As(err, &syntax) {
		found := syntax.Found
		if syntax.Early {
			found = "the file ends in the middle"
		}
		at := source.Position{File: f.file, Line: f.places.At(syntax.Offset)}
		return nil, &source.Error{Position: at, Found: "is not JSON: " + found, Accepts: "a " + Format + " file", Hint: syntax.Hint}
	}
	if err != nil {
		return nil, err
	}
	return &node{root, f.places.At(root.Offset)}, nil
}

// members gives the keys of an object, and false for any other value.
func (f *fields) members(n *node) ([]member, bool) {
	all := make([]member, len(n.Fields))
	for i, field := range n.Fields {
		all[i] = member{field.Name, &node{field.Value, f.places.At(field.Offset)}}
	}
	return all, n.Kind == jsonscan.Object
}

// items gives the items of a list, and false for any other value.
func (f *fields) items(n *node) ([]*node, bool) {
	all := make([]*node, len(n.Items))
	for i, item := range n.Items {
		all[i] = &node{item, f.places.At(item.Offset)}
	}
	return all, n.Kind == jsonscan.Array
}

func (n *node) isNull() bool { return n.Kind == jsonscan.Null }

// kind names what a value is, for messages.
func (n *node) kind() string {
	switch n.Kind {
	case jsonscan.String:
		return source.Quote(n.Text)
	case jsonscan.Number:
		return n.Text
	case jsonscan.Array:
		return fmt.Sprintf("a list of %d", len(n.Items))
	}
	return n.Kind.String()
}
