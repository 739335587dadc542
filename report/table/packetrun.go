package table

import "emberquilt/report/view"

// PropertiesSheet says what became of the packets of each property file.
func PropertiesSheet(all []view.PropertyPackets) *Sheet {
	s := &Sheet{Name: "properties", Header: []string{"property_file", "state", "packets"}}
	for i := range all {
		s.Rows = append(s.Rows, []any{all[i].File, all[i].State(), all[i].Packets})
	}
	return s
}
