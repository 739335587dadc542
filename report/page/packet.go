package page

import (
	"io"

	"emberquilt/report/view"
)

// packetPage is what the template reads.
type packetPage struct {
	frame
	Packet *view.Packet
	// Units is the map of the contract's units, Burned what burned on them.
	Units  *Map
	Burned *burnedPart
}

// burnedPart is an as-burned map with its drawing; Map is nil where nothing is drawn.
type burnedPart struct {
	AsBurned *view.AsBurned
	Map      *Map
	// Rows are those that are listed.
	Rows []view.AsBurnedRow
}

func newBurnedPart(v *view.AsBurned, drawn *Map) *burnedPart {
	if v == nil {
		return nil
	}
	return &burnedPart{v, drawn, v.Rows}
}

// WritePacket writes the cost-share packet of a contract as one HTML file: the same
// value as its PDF, tables and JSON. units and burned are the drawings of the contract's
// units and of what burned on them, or nil.
func WritePacket(w io.Writer, v *view.Packet, units, burned *Map) error {
	title := "Cost-share packet · " + v.Contract
	if v.Client != "" {
		title += " · " + v.Client
	}
	return write(w, "packet", packetPage{frame: newFrame(view.Cut(view.Plain(title), 120), v.Stamp, nil), Packet: v, Units: units, Burned: newBurnedPart(v.AsBurned, burned)})
}
