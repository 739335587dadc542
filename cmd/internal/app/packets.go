package app

import (
	"context"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
)

// Packets computes the packet of each contract, one after the other, so that no more
// than one is held. The burns planned are those of the adopted plan, if there is one.
func (s *Session) Packets(ctx context.Context, each func(*view.Packet) error) error {
	return s.packets(ctx, s.Contracts, each)
}

// Packet computes the packet of one contract.
func (s *Session) Packet(ctx context.Context, contract string) (made *view.Packet, err error) {
	var names []string
	for i := range s.Contracts {
		if s.Contracts[i].Name == contract {
			err = s.packets(ctx, s.Contracts[i:i+1], func(p *view.Packet) error { made = p; return nil })
			return made, err
		}
		names = append(names, s.Contracts[i].Name)
	}
	return nil, unknownName("contract", "the name of a contract", contract, names, "there is no contract %s", source.Quote(contract))
}

func (s *Session) packets(ctx context.Context, contracts []habitat.Contract, each func(*view.Packet) error) error {
	if len(contracts) == 0 {
		return nil
	}
	var kept *StoredPlan
	if s.Adopted() > 0 {
		var err error
		if kept, err = s.Plan(ctx, 0); err != nil {
			return err
		}
	}
	files := s.RecordFiles()
	versions, err := s.recordVersions(ctx)
	if err != nil {
		return err
	}
	for i := range contracts {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := each(s.packet(&contracts[i], kept, files, versions)); err != nil {
			return err
		}
	}
	return nil
}

// HasContract reports whether Packet has something to write.
func (c *Contents) HasContract() bool { return len(c.Session.Contracts) > 0 }

// Packet computes the packet of the first contract; ErrNothing where there is none.
func (c *Contents) Packet(ctx context.Context) (*view.Packet, error) {
	s := c.Session
	if !c.HasContract() {
		return nil, ErrNothing
	}
	versions, err := s.recordVersions(ctx)
	if err != nil {
		return nil, err
	}
	return s.packet(&s.Contracts[0], c.Stored, s.RecordFiles(), versions), nil
}

// packet computes one packet of a plan, nil without one; files are those of the records.
func (s *Session) packet(contract *habitat.Contract, plan *StoredPlan, files []view.FileState, versions map[int64][]view.RecordVersion) *view.Packet {
	others := slices.DeleteFunc(slices.Clone(s.Contracts), func(o habitat.Contract) bool { return o.Name == contract.Name })
	states := slices.Concat(files, s.ContractFiles(contract))
	in := &view.PacketInput{FileStates: states, Others: others, Versions: versions, Stamp: s.Stamp(), Property: s.Property, Units: s.AllUnits(), Records: s.Records,
		Contract: *contract, Shapes: s.Current().Shapes}
	if plan != nil {
		in.Planned, in.PlannedThrough = plan.BurnsNow(), s.lastDayOf(plan)
	}
	p := view.NewPacket(in)
	p.Warnings = slices.Concat(p.Warnings, view.Undated(contract), view.FileWarnings(states))
	return p
}

// recordVersions gives what packets say of the versions of the burn records.
func (s *Session) recordVersions(ctx context.Context) (map[int64][]view.RecordVersion, error) {
	stored, err := s.Store.RecordVersions(ctx)
	if err != nil {
		return nil, err
	}
	all := make(map[int64][]view.RecordVersion, len(stored))
	for id, versions := range stored {
		for i := range versions {
			v := &versions[i]
			all[id] = append(all[id], view.RecordVersion{Number: v.Number, At: date.DayOf(v.Change.At), Reason: v.Change.Reason, Removed: v.Removed, Record: v.Value})
		}
	}
	return all, nil
}

// PacketRun is what became of the packets of many property files.
type PacketRun struct {
	All []view.PropertyPackets
	// Failed counts the properties that failed.
	Failed int
	// Stamp says from what and when a summary of the run is made.
	Stamp view.Stamp
}

// PacketsOfAll goes through property files, and on past those that fail. write takes
// each packet and names the files that it wrote. An Interrupted says how far the run
// came.
func PacketsOfAll(ctx context.Context, paths []string, from Environment, write func(*view.Packet) ([]string, error)) (*PacketRun, error) {
	run := &PacketRun{Stamp: AllStamp(from, len(paths))}
	from = from.ForMany()
	var seen Copies
	failed, err := OverAll(ctx, paths, from, "writing packets", func(path string) error {
		one := view.PropertyPackets{File: path, Written: []string{}}
		err := InSession(ctx, path, from, func(s *Session) error {
			one.CopyOf = seen.Of(s.ID, path)
			return s.Packets(ctx, func(p *view.Packet) error {
				names, err := write(p)
				one.Written = append(one.Written, names...)
				one.Packets++
				return err
			})
		})
		run.All = append(run.All, one)
		return err
	})
	if err != nil {
		return nil, err
	}
	for i, reason := range failed {
		if run.All[i].Failed = reason; reason != "" {
			run.Failed++
		}
	}
	return run, nil
}

// AsBurned gives the as-burned map of the property, over the lines of its contracts, by
// the fiscal years of the first of them, federal ones where there is none; nil where
// nothing burned and no line was due.
func (s *Session) AsBurned() *view.AsBurned {
	in := &view.AsBurnedInput{Property: s.Property, Units: s.AllUnits(), Records: s.Records, Shapes: s.Current().Shapes, Today: s.Today}
	for i := range s.Contracts {
		in.Packets = append(in.Packets, s.packet(&s.Contracts[i], nil, nil, nil))
	}
	if len(s.Contracts) > 0 {
		in.Start = s.Contracts[0].FiscalStart
	}
	return view.NewAsBurned(in)
}
