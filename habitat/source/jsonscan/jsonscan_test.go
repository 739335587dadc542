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
	part, err := Check(data)
	if deep := err != nil && strings.Contains(err.Error(), "deeper"); (err == nil) != json.Valid(data) && !deep {
		t.Fatalf("%q: Check says %v", data, err)
	}
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
	sameParts(t, part, &v)
}

// sameParts holds the parts of a text against its tree, values and places.
func sameParts(t *testing.T, p Part, v *Value) {
	t.Helper()
	items, members := []Part{}, p.Members(1<<20)
	for item := range p.Items() {
		items = append(items, item)
	}
	if p.Offset != v.Offset || p.IsText() != (v.Kind == String) || p.IsList() != (v.Kind == Array) || p.IsNull() != (v.Kind == Null) ||
		v.Kind == String && p.Text() != v.Text || v.Kind == Number && string(p.Raw) != v.Text ||
		len(items) != len(v.Items) || len(members) != len(v.Fields) || (members != nil) != (v.Kind == Object) {
		t.Fatalf("part %q at %d is not %+v", p.Raw, p.Offset, *v)
	}
	for i := range items {
		sameParts(t, items[i], &v.Items[i])
	}
	for i, m := range members {
		if m.Key != v.Fields[i].Name {
			t.Fatalf("key %q is not %q", m.Key, v.Fields[i].Name)
		}
		sameParts(t, m.Part, &v.Fields[i].Value)
		first := Find(members, m.Key)
		if second := p.Find(m.Key); first.Offset != second.Offset || first.Offset > m.Offset {
			t.Fatalf("key %q is found at %d and %d", m.Key, first.Offset, second.Offset)
		}
	}
	if missing := p.Find("\x00"); !missing.IsNull() || missing.Text() != "" || missing.Members(1) != nil {
		t.Fatalf("a key that is not there: %+v", missing)
	}
}

func TestMembersStop(t *testing.T) {
	p, err := Check([]byte(`{"a":1,"b":2,"c":3,"d":4}`))
	if all := p.Members(2); err != nil || len(all) != 3 {
		t.Errorf("%d members, %v", len(all), err)
	}
}

func TestEarlyEnds(t *testing.T) {
	text := `{"a": [1, tru`
	for i := range text {
		for name, check := range map[string]func([]byte) error{
			"Parse": func(d []byte) error { _, err := Parse(d); return err },
			"Check": func(d []byte) error { _, err := Check(d); return err },
		} {
			bad, ok := check([]byte(text[:i+1])).(*SyntaxError)
			if !ok || !bad.Early {
				t.Errorf("%s of %q: %+v", name, text[:i+1], bad)
			}
		}
	}
	if bad, ok := func() error { _, err := Check([]byte(`[1}`)); return err }().(*SyntaxError); !ok || bad.Early || bad.Offset != 2 {
		t.Errorf("%+v", bad)
	}
}

var texts = []string{
	`{}`, `[]`, `null`, `true`, `-0`, `0.5e-7`, `"a\u00e9\ud83d\ude00\n"`, `{"a":[1,{"b":null}],"c":"\""}`, ` [ 1 , 2 ] `,
	``, `{`, `[1,]`, `{"a":1,}`, `{"a"}`, `{"a":}`, `{a:1}`, `[1 2]`, `01`, `1.`, `.5`, `+1`, `1e`, `--1`, `nul`, `truefalse`,
	`"a`, "\"a\nb\"", `"\x"`, `"\ud800"`, `"\ud800\ud800"`, `[}`, `{]`, `]`, `,`, `[,1]`, `1 2`, `{"a":1 "b":2}`, "\xff", "{\x00", `"\ufffd"`, `{"a":1]`,
	`[[[[[[[[]]]]]]]]`, `{"a":{"a":{"a":0}},"a":1}`, `"\uFFFD�"`, `[true,false,null,"",0]`, "[1,\r\n\t2]", `{"":0}`, `}`, `{,}`, `{"a":1,,"b":2}`, `[1,,2]`,
	"\"\"\r", " \"a\" \n", "null\n", "1\t", "[] \r\n", "{}\n",
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
	lines := Lines{Data: []byte(text)}
	for _, c := range []struct{ offset, line int }{{strings.Index(text, "x"), 3}, {0, 1}, {strings.Index(text, "10"), 2}, {-1, 1}, {1000, 3}} {
		if line := lines.At(c.offset); line != c.line {
			t.Errorf("offset %d: line %d, want %d", c.offset, line, c.line)
		}
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

func TestTreesAreBounded(t *testing.T) {
	text := []byte("[" + strings.Repeat("1,", MaxTreeValues-1) + "1]") // the list itself counts
	if _, err := Parse(text); err == nil || !strings.Contains(err.Error(), "more than 1000000 values") {
		t.Errorf("one value too many: %v", err)
	}
}
