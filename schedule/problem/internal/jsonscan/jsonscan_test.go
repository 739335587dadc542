package jsonscan

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
)

// plainTree turns a Value into what the standard decoder gives.
func plainTree(v *Value) any {
	switch v.Kind {
	case Object:
		m := map[string]any{}
		for i := range v.Fields {
			m[v.Fields[i].Name] = plainTree(&v.Fields[i].Value)
		}
		return m
	case Array:
		list := []any{}
		for i := range v.Items {
			list = append(list, plainTree(&v.Items[i]))
		}
		return list
	case String:
		return v.Text
	case Number:
		return json.Number(v.Text)
	case True, False:
		return v.Kind == True
	}
	return nil
}

// agree holds a text against the standard library: both accept it and see the
// same, or both refuse it, but for what we refuse on purpose.
func agree(t *testing.T, data []byte) {
	t.Helper()
	v, err := Parse(data)
	if err != nil {
		bad, ok := err.(*SyntaxError)
		if !ok || bad.Found == "" || bad.Offset < 0 || bad.Offset > len(data) {
			t.Fatalf("%q: no place or words in %#v", data, err)
		}
		for _, ours := range []string{"not UTF-8", "surrogate", "deeper", "byte-order", "UTF-16", "zero byte"} {
			if strings.Contains(bad.Found, ours) {
				return
			}
		}
		if json.Valid(data) {
			t.Fatalf("%q is JSON, and was refused: %v", data, err)
		}
		return
	}
	if !json.Valid(data) {
		t.Fatalf("%q is not JSON, and was accepted", data)
	}
	decoder := json.NewDecoder(bytes.NewReader(data))
	decoder.UseNumber()
	var want any
	if err := decoder.Decode(&want); err != nil {
		t.Fatal(err)
	}
	if got := plainTree(&v); !reflect.DeepEqual(got, want) {
		t.Fatalf("%q reads as %#v, the standard library says %#v", data, got, want)
	}
}

var texts = []string{
	`{}`, `[]`, `null`, `true`, `-0`, `0.5e-7`, `"a\u00e9\ud83d\ude00\n"`, `{"a":[1,{"b":null}],"c":"\""}`, ` [ 1 , 2 ] `,
	``, `{`, `[1,]`, `{"a":1,}`, `{"a"}`, `{"a":}`, `{a:1}`, `[1 2]`, `01`, `1.`, `.5`, `+1`, `1e`, `--1`, `nul`, `truefalse`,
	`"a`, "\"a\nb\"", `"\x"`, `"\ud800"`, `"\ud800\ud800"`, `[}`, `{]`, `]`, `,`, `[,1]`, `1 2`, `{"a":1 "b":2}`, "\xff", "{\x00", `"\ufffd"`, `{"a":1]`,
	`[[[[[[[[]]]]]]]]`, `{"a":{"a":{"a":0}},"a":1}`, `"\uFFFD�"`, `[true,false,null,"",0]`, "[1,\r\n\t2]", `{"":0}`, `}`, `{,}`, `{"a":1,,"b":2}`, `[1,,2]`,
}

func TestAgreesWithStandardLibrary(t *testing.T) {
	for _, text := range texts {
		agree(t, []byte(text))
	}
}

func FuzzParse(f *testing.F) {
	for _, text := range texts {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) { agree(t, data) })
}

func TestScannerKeepsPlaces(t *testing.T) {
	text := "{\n \"a\": [10,\n  \"x\"]}"
	s, err := NewScanner([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for {
		token, err := s.Next()
		if err != nil {
			t.Fatal(err)
		}
		if token.Kind == End {
			break
		}
		if token.Text != "" && !strings.HasPrefix(strings.TrimPrefix(text[token.Offset:], `"`), token.Text) {
			t.Errorf("%q does not stand at %d", token.Text, token.Offset)
		}
		got = append(got, token.Kind.String())
	}
	want := []string{"an object", "a key", "a list", "a number", "text", "the end of a list", "the end of an object"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("tokens %q", got)
	}
	if line := Line([]byte(text), strings.Index(text, "x")); line != 3 {
		t.Errorf("line %d", line)
	}
}

func TestDepthOfScanner(t *testing.T) {
	s, err := NewScanner([]byte(strings.Repeat("[", MaxDepth+1)))
	if err != nil {
		t.Fatal(err)
	}
	for range MaxDepth {
		if _, err := s.Next(); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.Next(); err == nil || !strings.Contains(err.Error(), "nest deeper") {
		t.Errorf("depth is not limited: %v", err)
	}
}
