package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/habitat"
)

// meOptions are those of the me command.
type meOptions struct {
	name  string
	clear bool
}

func (a *terminal) meCommand() *cobra.Command {
	var o meOptions
	cmd := &cobra.Command{
		Use:   "me [NAME]",
		Short: "Keep the name of who makes changes on this machine",
		Long: withStatus(`Me keeps a name for this user of this machine. It stands beside every change that is
made from then on, in any property file, and "emberquilt changes" shows it. --by names
somebody else for one command. It is what you say, not a proof of who you are: for that,
sign the list of seals (see "emberquilt seal"). Without a name it shows the one that is
kept.`),
		Example: "  emberquilt me \"A. Baker\"\n  emberquilt me --clear",
		GroupID: groupStart,
		Args:    argsBetween(0, "NAME"),
		RunE: func(_ *cobra.Command, args []string) error {
			o.name = firstOf(args)
			return a.runMe(&o)
		},
	}
	cmd.Flags().BoolVar(&o.clear, "clear", false, "forget the name")
	return cmd
}

func (a *terminal) runMe(o *meOptions) error {
	switch {
	case o.clear && o.name != "":
		return usagef("--clear and %s cannot be combined; use one", quote(o.name))
	case o.clear:
		if err := a.keepName(""); err != nil {
			return err
		}
		return a.say("no name is kept")
	case o.name == "":
		if a.nameFile() == "" {
			return errNoSettings()
		}
		name, err := a.who()
		if err != nil {
			return err
		}
		if name == "" {
			return a.say("no name is kept; emberquilt me NAME keeps one")
		}
		return a.say("%s", name)
	}
	if err := habitat.ValidateName("NAME", o.name); err != nil {
		return &usageError{err}
	}
	if err := a.keepName(o.name); err != nil {
		return err
	}
	return a.say("changes are made by %s from now on", o.name)
}

func errNoSettings() error {
	return usagef("no folder for settings is known; accepts one in XDG_CONFIG_HOME or HOME")
}

// keepName keeps a name for this user, or forgets the one that is kept where it is
// empty.
func (a *terminal) keepName(name string) error {
	file := a.nameFile()
	if file == "" {
		return errNoSettings()
	}
	if name == "" {
		if err := os.Remove(file); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("forget the name in %s: %w", file, cause(err))
		}
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return fmt.Errorf("make %s: %w", filepath.Dir(file), cause(err))
	}
	draft, err := newDraft(file)
	if err != nil {
		return err
	}
	defer draft.discard()
	if _, err := io.WriteString(draft, name+"\n"); err != nil {
		return fmt.Errorf("write %s: %w", file, cause(err))
	}
	if err := errors.Join(draft.complete(), draft.publish()); err != nil {
		return fmt.Errorf("write %s: %w", file, cause(err))
	}
	return nil
}

// nameFile is where the name of this user lies; empty where no folder is known.
func (a *terminal) nameFile() string {
	folder := a.Getenv("XDG_CONFIG_HOME")
	if folder == "" {
		folder = a.Getenv("AppData")
	}
	if home := a.Getenv("HOME"); folder == "" && home != "" {
		folder = filepath.Join(home, ".config")
	}
	if folder == "" {
		return ""
	}
	return filepath.Join(folder, "emberquilt", "name")
}

// who names who makes changes: --by, else the name that is kept, else nobody.
func (a *terminal) who() (string, error) {
	if a.by != "" {
		if err := habitat.ValidateName("by", a.by); err != nil {
			return "", usagef("--%w", err)
		}
		return a.by, nil
	}
	file := a.nameFile()
	if file == "" {
		return "", nil
	}
	text, err := os.ReadFile(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", nil
	case err != nil:
		return "", fmt.Errorf("read the name in %s: %w", file, cause(err))
	}
	name := strings.TrimSpace(string(text))
	if err := habitat.ValidateName("name", name); err != nil {
		return "", fmt.Errorf("%s: %w\nhint: emberquilt me NAME writes it anew", file, err)
	}
	return name, nil
}
