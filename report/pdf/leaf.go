package pdf

import (
	"bytes"
	"compress/flate"
	"fmt"
	"io"
	"iter"

	"codeberg.org/go-pdf/fpdf"
)

// mostHeld is how many pages the library holds as they were drawn, tens of kilobytes each;
// every further page is a leaf. Only tests change it.
var mostHeld = 16

// leaf is a page that is drawn apart from the library's document, so that it can be packed
// as soon as it is full. The library holds the pages of a document until it writes it, but
// gives away the content of a template: a leaf is one that is never used as such. It shares
// its fonts with the document, which then knows all characters that were drawn.
type leaf struct {
	*fpdf.Fpdf
	made fpdf.Template
	// end lets the library finish the template.
	end func()
}

// newLeaf gives a leaf on which is set what is set on the page before.
func newLeaf(before *fpdf.Fpdf) *leaf {
	l := &leaf{}
	// The library wants a template drawn within a function, and a paper is drawn from page
	// to page: the function waits until the page is full.
	next, stop := iter.Pull(func(yield func(*fpdf.Fpdf) bool) {
		l.made = before.CreateTemplate(func(t *fpdf.Tpl) { yield(&t.Fpdf) })
	})
	l.Fpdf, _ = next()
	l.end = stop
	l.SetMargins(side, topEdge, side)
	l.SetAutoPageBreak(false, bottomEdge)
	l.SetAcceptPageBreakFunc(func() bool { return false }) // that of a template asks another document
	l.SetTextColor(before.GetTextColor())                  // a template forgets that it is not the color of areas
	return l
}

// content ends the leaf and gives what was drawn. The first page of the template is the one
// with which it began.
func (l *leaf) content() ([]byte, error) {
	l.end()
	page, err := l.made.FromPage(l.made.NumPages())
	if err != nil {
		return nil, err
	}
	return page.Bytes(), nil
}

// leaves are the pages from the first leaf on, packed.
type leaves struct {
	packed [][]byte
	packer *flate.Writer
	// unpacked is the last page that was taken.
	unpacked bytes.Buffer
	unpacker io.ReadCloser
}

// add packs a page: fast, since it is unpacked and packed once more when the number of pages
// is known.
func (l *leaves) add(content []byte) error {
	var b bytes.Buffer
	if l.packer == nil {
		var err error
		if l.packer, err = flate.NewWriter(&b, flate.BestSpeed); err != nil {
			return err
		}
	}
	l.packer.Reset(&b)
	if _, err := l.packer.Write(content); err != nil {
		return err
	}
	if err := l.packer.Close(); err != nil {
		return err
	}
	l.packed = append(l.packed, bytes.Clone(b.Bytes()))
	return nil
}

// take gives one of them, with the number of all pages, and lets go of it. It holds until
// the next one is taken.
func (l *leaves) take(i, count int) ([]byte, error) {
	packed := bytes.NewReader(l.packed[i])
	if l.unpacker == nil {
		l.unpacker = flate.NewReader(packed)
	} else if err := l.unpacker.(flate.Resetter).Reset(packed, nil); err != nil {
		return nil, err
	}
	l.unpacked.Reset()
	if _, err := l.unpacked.ReadFrom(l.unpacker); err != nil {
		return nil, fmt.Errorf("unpack a page: %w", err)
	}
	l.packed[i] = nil
	return bytes.ReplaceAll(l.unpacked.Bytes(), wide(pages), wide(fmt.Sprint(count))), nil
}

// wide is a text of the basic plane as the library writes it on a page.
func wide(text string) []byte {
	var b []byte
	for _, r := range text {
		b = append(b, byte(r>>8), byte(r))
	}
	return b
}
