package jsonscan

import "fmt"

// MaxTreeDepth is how deep the objects and lists of a tree may nest; no file of
// ours that is read as a tree goes beyond 6.
const MaxTreeDepth = 32

// MaxTreeValues is how many values a tree may have, those within others counted. A plan
// of 10,000 units and 20 years has a third of them.
const MaxTreeValues = 1_000_000

// Value is one value of a JSON text with its place.
type Value struct {
	Kind   Kind
	Offset int
	// Text is the decoded text of a String, and the digits of a Number.
	Text string
	// Fields are those of an Object in file order, repeated keys included.
	Fields []Field
	// Items are those of an Array.
	Items []Value
}

// Field is one key of an object and its value.
type Field struct {
	Name   string
	Offset int
	Value  Value
}

// Parse reads a whole JSON text. The error is a *SyntaxError.
func Parse(data []byte) (Value, error) {
	s, err := NewScanner(data)
	if err != nil {
		return Value{}, err
	}
	first, err := s.Next()
	if err != nil {
		return Value{}, err
	}
	root, err := s.tree(first)
	if err != nil {
		return Value{}, err
	}
	_, err = s.Next()
	return root, err
}

// tree reads the rest of the value that starts with token.
func (s *Scanner) tree(token Token) (Value, error) {
	v := Value{Kind: token.Kind, Offset: token.Offset, Text: token.Text}
	if s.values++; s.values > MaxTreeValues {
		return v, s.fail(token.Offset, fmt.Sprintf("the file holds more than %d values", MaxTreeValues), "fewer")
	}
	if s.Depth() > MaxTreeDepth {
		return v, s.fail(token.Offset, fmt.Sprintf("objects and lists nest deeper than %d", MaxTreeDepth), "fewer levels")
	}
	for token.Kind == Object || token.Kind == Array {
		next, err := s.Next()
		if err != nil {
			return v, err
		}
		if next.Kind == ObjectEnd || next.Kind == ArrayEnd {
			break
		}
		field := Field{Offset: next.Offset}
		if next.Kind == Name {
			field.Name = next.Text
			if next, err = s.Next(); err != nil {
				return v, err
			}
		}
		child, err := s.tree(next)
		if err != nil {
			return v, err
		}
		if v.Kind == Object {
			field.Value = child
			v.Fields = append(v.Fields, field)
		} else {
			v.Items = append(v.Items, child)
		}
	}
	return v, nil
}
