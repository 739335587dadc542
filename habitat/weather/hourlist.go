package weather

// blockHours is how many hours a block of an hourList holds: a year of them.
const blockHours = 366 * 24

// hourList gathers hours in blocks, so that those of a long record are not copied over
// and over while it grows.
type hourList struct {
	blocks [][]Hour // all full but the last
	n      int
}

func (l *hourList) add(h Hour) {
	if l.n == len(l.blocks)*blockHours {
		l.blocks = append(l.blocks, make([]Hour, 0, blockHours))
	}
	last := &l.blocks[len(l.blocks)-1]
	*last = append(*last, h)
	l.n++
}

// at gives hour i in the order in which they were added.
func (l *hourList) at(i int) *Hour { return &l.blocks[i/blockHours][i%blockHours] }

// take gives all hours in one piece and empties the list.
func (l *hourList) take() []Hour {
	blocks, n := l.blocks, l.n
	*l = hourList{}
	if len(blocks) == 1 {
		return blocks[0]
	}
	all := make([]Hour, 0, n)
	for i := range blocks {
		all = append(all, blocks[i]...)
		blocks[i] = nil // free for the blocks' room to be used again
	}
	return all
}
