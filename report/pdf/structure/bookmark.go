package structure

import (
	"bytes"
	"fmt"
)

// countBookmarks says of each bookmark that holds others, and of the root of them, how many
// show below it, all being open (ISO 32000-1, 12.3.3): the library says 0 of each. A
// bookmark's object comes before those that it holds.
func (f *file) countBookmarks() {
	const none = "\n/Count 0>>"
	counts := map[int]int{}
	for number := len(f.bodies) - 1; number > 0; number-- {
		body := f.bodies[number]
		_, dict, _ := bytes.Cut(body[:min(len(body), 20)], []byte(" 0 obj\n"))
		if !bytes.HasPrefix(dict, []byte("<</Title")) {
			continue
		}
		at := bytes.LastIndex(body, []byte("\n/Parent "))
		end := bytes.LastIndex(body, []byte(none))
		if at < 0 || end < 0 {
			continue
		}
		counts[numberAfter(body[at:], "/Parent ")] += 1 + counts[number]
		if count := counts[number]; count > 0 {
			f.bodies[number] = fmt.Appendf(nil, "%s\n/Count %d%s", body[:end], count, body[end+len(none)-2:])
		}
	}
	for number, body := range f.bodies {
		if bytes.Contains(body[:min(len(body), 60)], rootOfBookmarks) {
			f.bodies[number] = insert(body, rootOfBookmarks, fmt.Sprintf("/Count %d ", counts[number]))
		}
	}
}

var rootOfBookmarks = []byte("<</Type /Outlines ")
