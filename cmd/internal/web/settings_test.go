package web

import (
	"io/fs"

	"emberquilt/habitat"
	"emberquilt/habitat/settings"
)

func demoSettings(own fs.FS) (habitat.Property, error) {
	text, err := fs.ReadFile(own, "settings.toml")
	if err != nil {
		return habitat.Property{}, err
	}
	return settings.Parse(text, "settings.toml")
}
