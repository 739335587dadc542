package list

import (
	"context"
	"io"
	"os"
	"slices"

	"emberquilt/habitat/source"
)

// Input is one file of several that are read together.
type Input struct {
	Name string
	// Data is what the file holds; nil reads the file of that name.
	Data    []byte
	Options Options
}

// ReadAll reads files that belong together; units names the units that are there
// already. Lists and errors are in the order of the inputs, one of both for each.
// Tables are read first, so that shapes find the units that tables name.
func ReadAll(ctx context.Context, inputs []Input, units []string) ([]*List, []error) {
	lists, errs := make([]*List, len(inputs)), make([]error, len(inputs))
	units, inputs = slices.Clone(units), slices.Clone(inputs)
	isLate := make([]bool, len(inputs))
	for i := range inputs {
		if errs[i] = inputs[i].drain(); errs[i] == nil {
			isLate[i] = inputs[i].holdsShapes()
		}
	}
	for _, late := range []bool{false, true} {
		for i := range inputs {
			if isLate[i] != late || errs[i] != nil {
				continue
			}
			in := &inputs[i]
			o := in.Options
			o.Units = units
			if in.Data != nil {
				lists[i], errs[i] = Read(ctx, in.Data, in.Name, o)
			} else {
				lists[i], errs[i] = ReadFile(ctx, in.Name, o)
			}
			if errs[i] == nil && !late {
				units = append(units, lists[i].UnitNames()...)
			}
		}
	}
	return lists, errs
}

// drain takes what a pipe holds: it can be read once, and its beginning tells what it is.
func (in *Input) drain() error {
	info, err := os.Stat(in.Name)
	if in.Data != nil || err != nil || info.Mode().IsRegular() || info.IsDir() {
		return nil // which the reader opens, or says why not
	}
	file, err := os.Open(in.Name)
	if err != nil {
		return err
	}
	defer file.Close()
	data, err := io.ReadAll(io.LimitReader(file, source.MaxTextBytes+1))
	if err != nil {
		return err
	}
	in.Data = append([]byte{}, data...) // not nil, though it be empty
	return nil
}

// holdsShapes tells a file with shapes from its first bytes; packed ones and tables
// with shapes are told when they are read.
func (in *Input) holdsShapes() bool {
	if in.Data != nil {
		return !isTable(in.Data)
	}
	file, err := os.Open(in.Name)
	if err != nil {
		return false
	}
	defer file.Close()
	head := make([]byte, 512)
	n, _ := io.ReadFull(file, head)
	return isShapes(head[:n])
}
