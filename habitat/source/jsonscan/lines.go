package jsonscan

import "bytes"

// Lines says on which line an offset of a text lies. Asked for offsets that
// mostly grow, it counts each byte once.
type Lines struct {
	// Data is the text.
	Data []byte
	// counted is an offset, breaks the line breaks before it.
	counted, breaks int
}

// At gives the line of a byte, from 1. Offsets outside the text count as its
// beginning or end.
func (l *Lines) At(offset int) int {
	offset = max(0, min(offset, len(l.Data)))
	if offset < l.counted {
		l.counted, l.breaks = 0, 0
	}
	l.breaks += bytes.Count(l.Data[l.counted:offset], []byte{'\n'})
	l.counted = offset
	return l.breaks + 1
}
