package store

import (
	"errors"
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/settings"
)

// Settings lie in the file as the text that people edit, comments and all.
var properties = define(table[habitat.Property]{
	name: "property_version", keys: []string{"property"}, columns: []string{"settings"}, order: "v.property",
	key:    func(*habitat.Property) []any { return []any{1} },
	encode: func(p *habitat.Property) []any { return []any{string(settings.Format(p))} },
	decode: func(scan scanner) (p habitat.Property, err error) {
		var one int
		var text string
		if err := scan(&one, &text); err != nil {
			return p, err
		}
		if p, err = settings.ParseStored([]byte(text)); err != nil {
			err = fmt.Errorf("%w: %w", ErrSettings, err)
		}
		return p, err
	},
})

// SetProperty writes the settings. Settings that are there already write
// nothing. Settings that could not be read back are refused: the file must stay
// one that opens. They may follow on some that cannot be read.
func (tx *Tx) SetProperty(p habitat.Property) error {
	if _, err := settings.ParseStored([]byte(settings.Format(&p))); err != nil {
		return fmt.Errorf("the settings would not be read back: %w", err)
	}
	err := properties.put(tx, p)
	if !errors.Is(err, ErrSettings) {
		return err
	}
	var newest int
	err = tx.each("SELECT max(version) FROM property_version", nil, func(scan scanner) error { return scan(&newest) })
	if err != nil {
		return err
	}
	return properties.insert(tx, newest+1, false, properties.key(&p), properties.encode(&p))
}

// Property gives the current settings.
func (tx *Tx) Property() (habitat.Property, error) {
	all, err := properties.current(tx, "")
	if err != nil {
		return habitat.Property{}, err
	}
	if len(all) == 0 {
		return habitat.Property{}, fmt.Errorf("%w: settings", ErrUnknown)
	}
	return all[0], nil
}
