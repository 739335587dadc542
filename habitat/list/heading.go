package list

import (
	"os"

	"emberquilt/habitat/source"
)

// ColumnsOf lists the columns of a kind of table; nothing for shapes.
func ColumnsOf(kind Kind) []string {
	switch kind {
	case Units:
		return names(unitColumns)
	case Burns:
		return names(burnColumns)
	case Pairs:
		return names(pairColumns)
	case Locks:
		return names(lockColumns)
	case Contracts:
		return names(contractColumns)
	}
	return nil
}

// Heading is how a table's columns are read.
type Heading struct {
	// Kind is what the header tells; empty where it fits no kind.
	Kind Kind
	// Headers stand in the file, Reads are ours under which each is read: the same
	// text where nobody said otherwise.
	Headers, Reads []string
}

// HeadingOf reads the header of a table, for someone who is to say what its columns
// are; nil where the file is not a table that can be read. Faults are for ReadFile.
func HeadingOf(name string, opts Options) *Heading {
	data, err := os.ReadFile(name)
	if err != nil || len(data) > source.MaxTextBytes || !isTable(data) {
		return nil
	}
	opts.Set, opts.Columns = spelled(opts.Set), spelledColumns(opts.Columns)
	var faults source.List
	var s *sheet
	if isWorkbook(data) {
		s, _ = readWorkbook(data, name, &opts, &faults)
	} else {
		s = readCSV(data, name, &faults)
	}
	if s == nil || s.header == nil {
		return nil
	}
	s.name(&opts, &faults)
	s.forgive(&opts)
	h := &Heading{Headers: s.header, Reads: make([]string, len(s.header)), Kind: opts.Kind}
	for ours, i := range s.columns {
		h.Reads[i] = ours
	}
	if h.Kind == "" {
		h.Kind, _ = kindOf(withSet(s.columns, opts.Set))
	}
	return h
}
