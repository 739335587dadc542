package jsonscan

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"unicode/utf8"

	"emberquilt/habitat/source"
)

// Kind is the kind of a token or of a value.
type Kind uint8

// The kinds of token. Name is the key of a field; its colon is consumed. End
// follows the last token.
const (
	End Kind = iota
	Object
	ObjectEnd
	Array
	ArrayEnd
	Name
	String
	Number
	True
	False
	Null
)

// String names the kind as a sentence about bad input needs it.
func (k Kind) String() string {
	return [...]string{"the end of the file", "an object", "the end of an object", "a list",
		"the end of a list", "a key", "text", "a number", "true", "false", "null"}[k]
}

// MaxDepth is how deep objects and lists may nest.
const MaxDepth = 100_000

// Token is one token and the byte at which it starts. Text is the decoded text
// of a name or string, and the digits of a number as they stand.
type Token struct {
	Kind   Kind
	Offset int
	Text   string
}

// SyntaxError says where a text stops being JSON.
type SyntaxError struct {
	Offset         int
	Found, Accepts string
	Hint           string
	// Early says that the text ends before the JSON does.
	Early bool
}

// Error gives what was found, without the place, which only the reader of the
// file can name.
func (e *SyntaxError) Error() string {
	return (&source.Error{Found: e.Found, Accepts: e.Accepts, Hint: e.Hint}).Error()
}

// Scanner gives the tokens of a JSON text. It never recurses and allocates
// only the text of tokens.
type Scanner struct {
	data []byte
	at   int
	// open holds '{' or '[' for each object or list that is open.
	open []byte
	// filled says for each of them whether it has a member already.
	filled []bool
	// valueNext is set after a name: a value must follow.
	valueNext bool
	done      bool
	// skim leaves out the text of tokens.
	skim  bool
	known map[string]string
	// values counts those of a tree.
	values int
}

// NewScanner checks that data is UTF-8 text and gives a scanner of it. It
// keeps data.
func NewScanner(data []byte) (*Scanner, error) {
	if err := checkText(data); err != nil {
		return nil, err
	}
	return &Scanner{data: data, known: map[string]string{}}, nil
}

// checkText refuses what is not a UTF-8 text, with the likely cause.
func checkText(data []byte) error {
	const accepts = "JSON text in UTF-8"
	switch {
	case len(bytes.TrimLeft(data, " \t\r\n")) == 0:
		return &SyntaxError{Found: "the file is empty", Accepts: accepts}
	case bytes.HasPrefix(data, []byte{0xEF, 0xBB, 0xBF}):
		return &SyntaxError{Found: "the file begins with a byte-order mark", Accepts: accepts + " without one",
			Hint: "save it as UTF-8 without BOM"}
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}),
		len(data) >= 2 && (data[0] == 0) != (data[1] == 0):
		return &SyntaxError{Found: "the file is UTF-16 text", Accepts: accepts, Hint: "save it as UTF-8"}
	}
	if at := bytes.IndexByte(data, 0); at >= 0 {
		return &SyntaxError{Offset: at, Found: "a zero byte: the file is not text", Accepts: accepts}
	}
	if !utf8.Valid(data) {
		at := 0
		for at < len(data) {
			r, size := utf8.DecodeRune(data[at:])
			if r == utf8.RuneError && size == 1 {
				break
			}
			at += size
		}
		return &SyntaxError{Offset: at, Found: fmt.Sprintf("byte 0x%02x is not UTF-8", data[at]), Accepts: accepts}
	}
	return nil
}

// Depth counts the objects and lists that are open.
func (s *Scanner) Depth() int { return len(s.open) }

// Next gives the next token. After the last one it gives End, again and again.
// After an error the scanner must not be used further.
func (s *Scanner) Next() (Token, error) {
	c, err := s.separator()
	if err != nil {
		return Token{}, err
	}
	at := s.at
	if s.done {
		if at < len(s.data) {
			return Token{}, s.fail(at, s.seen(at)+" after the end of the JSON text", "nothing more")
		}
		return Token{Kind: End, Offset: at}, nil
	}
	if inside := s.inside(); c == '}' && inside == '{' && !s.valueNext || c == ']' && inside == '[' {
		return s.close(c), nil
	}
	if s.inside() == '{' && !s.valueNext {
		return s.name(c)
	}
	return s.value(c)
}

func (s *Scanner) inside() byte {
	if len(s.open) == 0 {
		return 0
	}
	return s.open[len(s.open)-1]
}

// separator skips space and the comma that is due, and gives the byte after.
func (s *Scanner) separator() (byte, error) {
	s.space()
	if s.done {
		return 0, nil
	}
	if len(s.open) == 0 || s.valueNext {
		return s.peek()
	}
	c, err := s.peek()
	if err != nil || c == '}' || c == ']' {
		return c, err
	}
	top := len(s.open) - 1
	if !s.filled[top] {
		s.filled[top] = true
		return c, nil
	}
	if c != ',' {
		return 0, s.fail(s.at, s.seen(s.at), "a comma or the end of the "+map[byte]string{'{': "object", '[': "list"}[s.inside()])
	}
	comma := s.at
	s.at++
	s.space()
	if c, err = s.peek(); err == nil && (c == '}' || c == ']') {
		return 0, s.fail(comma, "a comma before the end", "a comma only between members")
	}
	return c, err
}

func (s *Scanner) space() { s.at = skipSpace(s.data, s.at) }

// skipSpace gives the first place from i on where no space stands.
func skipSpace(data []byte, i int) int {
	for i < len(data) {
		switch data[i] {
		case ' ', '\t', '\r', '\n':
			i++
		default:
			return i
		}
	}
	return i
}

func (s *Scanner) peek() (byte, error) {
	if s.at >= len(s.data) {
		return 0, s.cutOff()
	}
	return s.data[s.at], nil
}

func (s *Scanner) cutOff() error {
	found := "the file ends early"
	switch s.inside() {
	case '{':
		found += ", inside an object"
	case '[':
		found += ", inside a list"
	}
	return s.early(max(0, len(s.data)-1), found)
}

func (s *Scanner) close(c byte) Token {
	at := s.at
	s.at++
	top := len(s.open) - 1
	s.open, s.filled = s.open[:top], s.filled[:top]
	s.done = top == 0
	if c == '}' {
		return Token{Kind: ObjectEnd, Offset: at}
	}
	return Token{Kind: ArrayEnd, Offset: at}
}

func (s *Scanner) name(c byte) (Token, error) {
	at := s.at
	if c != '"' {
		return Token{}, s.fail(at, s.seen(at), "a key in double quotes")
	}
	text, err := s.text()
	if err != nil {
		return Token{}, err
	}
	s.space()
	if c, err = s.peek(); err != nil {
		return Token{}, err
	}
	if c != ':' {
		return Token{}, s.fail(s.at, s.seen(s.at), "a colon after a key")
	}
	s.at++
	s.valueNext = true
	return Token{Kind: Name, Offset: at, Text: text}, nil
}

func (s *Scanner) value(c byte) (Token, error) {
	at := s.at
	s.valueNext = false
	switch {
	case c == '{' || c == '[':
		if len(s.open) >= MaxDepth {
			return Token{}, s.fail(at, fmt.Sprintf("objects and lists nest deeper than %d", MaxDepth), "fewer levels")
		}
		s.at++
		s.open, s.filled = append(s.open, c), append(s.filled, false)
		if c == '{' {
			return Token{Kind: Object, Offset: at}, nil
		}
		return Token{Kind: Array, Offset: at}, nil
	case c == '"':
		text, err := s.text()
		s.done = len(s.open) == 0
		return Token{Kind: String, Offset: at, Text: text}, err
	}
	end := at
	for end < len(s.data) && isWord(s.data[end]) {
		end++
	}
	word := s.data[at:end]
	s.at = end
	s.done = len(s.open) == 0
	switch string(word) {
	case "true":
		return Token{Kind: True, Offset: at}, nil
	case "false":
		return Token{Kind: False, Offset: at}, nil
	case "null":
		return Token{Kind: Null, Offset: at}, nil
	}
	if isNumber(word) {
		if s.skim {
			return Token{Kind: Number, Offset: at}, nil
		}
		return Token{Kind: Number, Offset: at, Text: string(word)}, nil
	}
	if end == at {
		return Token{}, s.fail(at, s.seen(at), "a value")
	}
	if end == len(s.data) && canGrow(string(word)) {
		return Token{}, s.early(at, source.Quote(string(word))+" at the end of the file")
	}
	return Token{}, s.fail(at, source.Quote(string(word))+" is not a JSON value", "a JSON value: text in double quotes, a plain number, true, false, a list or an object")
}

// isWord reports whether c can stand in a number or in a bare word.
func isWord(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '+' || c == '-' || c == '.' || c == '_'
}

// canGrow reports whether a value may begin with word, which is none itself.
func canGrow(word string) bool {
	return strings.HasPrefix("true", word) || strings.HasPrefix("false", word) || strings.HasPrefix("null", word) ||
		word[0] == '-' || word[0] >= '0' && word[0] <= '9'
}

// isNumber reports whether word is a number as RFC 8259, section 6, has it.
func isNumber(word []byte) bool {
	digits := func() int {
		n := 0
		for n < len(word) && word[n] >= '0' && word[n] <= '9' {
			n++
		}
		word = word[n:]
		return n
	}
	if len(word) > 0 && word[0] == '-' {
		word = word[1:]
	}
	leadingZero := len(word) > 0 && word[0] == '0'
	if n := digits(); n == 0 || leadingZero && n > 1 {
		return false
	}
	if len(word) > 0 && word[0] == '.' {
		word = word[1:]
		if digits() == 0 {
			return false
		}
	}
	if len(word) > 0 && (word[0] == 'e' || word[0] == 'E') {
		word = word[1:]
		if len(word) > 0 && (word[0] == '+' || word[0] == '-') {
			word = word[1:]
		}
		if digits() == 0 {
			return false
		}
	}
	return len(word) == 0
}

// text reads the string that starts at s.at.
func (s *Scanner) text() (string, error) {
	start := s.at
	escaped := false
	for i := start + 1; i < len(s.data); i++ {
		switch c := s.data[i]; {
		case c == '"':
			s.at = i + 1
			if s.skim {
				if escaped && !goodEscapes(s.data[start+1:i]) {
					return "", s.badEscape(start, s.data[start:i+1])
				}
				return "", nil
			}
			if escaped {
				return s.unescape(start, s.data[start:i+1])
			}
			return s.intern(s.data[start+1 : i]), nil
		case c == '\\':
			escaped = true
			i++
		case c < 0x20:
			return "", s.fail(i, fmt.Sprintf("a line break or control character (0x%02x) inside text", c), "text on one line, with control characters escaped")
		}
	}
	return "", s.early(start, "the file ends early, inside text")
}

// intern gives the text of raw bytes, and the same one for the same bytes:
// keys and ids come back thousands of times in a large file.
func (s *Scanner) intern(raw []byte) string {
	const longest, most = 64, 1 << 16
	if text, ok := s.known[string(raw)]; ok {
		return text
	}
	text := string(raw)
	if len(text) <= longest && len(s.known) < most {
		s.known[text] = text
	}
	return text
}

func (s *Scanner) unescape(start int, raw []byte) (string, error) {
	var text string
	if err := json.Unmarshal(raw, &text); err != nil {
		return "", s.badEscape(start, raw)
	}
	// The library turns half a surrogate pair into U+FFFD.
	if strings.Count(text, "\uFFFD") > bytes.Count(raw, []byte("\uFFFD"))+bytes.Count(bytes.ToLower(raw), []byte(`\ufffd`)) {
		return "", s.fail(start, source.Quote(string(raw))+" holds half a surrogate pair", "whole characters")
	}
	return text, nil
}

func (s *Scanner) badEscape(start int, raw []byte) error {
	return s.fail(start, source.Quote(string(raw))+" holds an escape that JSON does not have", `the escapes \" \\ \/ \b \f \n \r \t and \u with four hex digits`)
}

// goodEscapes reports whether the escapes between the quotes of a string are
// those of RFC 8259, section 7.
func goodEscapes(raw []byte) bool {
	for i := 0; i < len(raw); i++ {
		if raw[i] != '\\' {
			continue
		}
		if i++; i == len(raw) {
			return false
		}
		switch raw[i] {
		case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
		case 'u':
			if len(raw) < i+5 {
				return false
			}
			for _, c := range raw[i+1 : i+5] {
				if !(c >= '0' && c <= '9' || c >= 'a' && c <= 'f' || c >= 'A' && c <= 'F') {
					return false
				}
			}
			i += 4
		default:
			return false
		}
	}
	return true
}

// seen says what stands at a place, for a message.
func (s *Scanner) seen(at int) string {
	if at >= len(s.data) {
		return "the end of the file"
	}
	r, _ := utf8.DecodeRune(s.data[at:])
	return source.Quote(string(r))
}

func (s *Scanner) fail(at int, found, accepts string) error {
	return &SyntaxError{Offset: at, Found: found, Accepts: accepts}
}

// early is the error of a text that ends before the JSON does.
func (s *Scanner) early(at int, found string) error {
	return &SyntaxError{Offset: at, Found: found, Accepts: "the complete file", Early: true}
}
