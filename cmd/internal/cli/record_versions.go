package cli

import (
	"fmt"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/source"
	"emberquilt/store"
)

func (a *terminal) recordCorrectCommand() *cobra.Command {
	var flags recordFlags
	var because string
	var ask bool
	cmd := &cobra.Command{
		Use:   "correct NUMBER --because REASON",
		Short: "Correct a record, as a new version with its reason",
		Long: withStatus(`Correct writes a new version of a burn record with what the flags name; all else
stays, and the version before stays readable. Readings, notices and files are
added to those that are there. With --ask it asks for each value, what stands offered.`, statusBadInput),
		Args: exactArgs("NUMBER"),
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := parseBurnID(args[0])
			if err != nil {
				return err
			}
			if because == "" {
				return usagef("--because is missing; accepts the reason of the correction, which is kept with it")
			}
			if ask {
				return a.askCorrection(cmd, id, because)
			}
			return a.changeRecord(cmd, fmt.Sprintf("correct burn %d: %s", id, because),
				func(tx *store.Tx, snapshot *store.Snapshot, path string) (habitat.BurnRecord, error) {
					record, unit, err := findBurn(snapshot, id)
					if err != nil {
						return record, err
					}
					if cmd.Flags().Changed("on") {
						if record.Through == record.On {
							record.Through = flags.on.Day
						}
						record.On = flags.on.Day
					}
					if err := flags.apply(cmd, &record, path); err != nil {
						return record, err
					}
					if err := flags.applyShape(&record, snapshot, path); err != nil {
						return record, err
					}
					if err := a.validateRecord(&record, unit); err != nil {
						return record, err
					}
					return record, tx.CorrectBurn(record)
				})
		},
	}
	flags.register(cmd)
	cmd.Flags().Var(&flags.on, "on", "the first day")
	cmd.Flags().StringVar(&because, "because", "", "`REASON`, kept with the new version")
	cmd.Flags().BoolVar(&ask, "ask", false, "ask for each value, question by question")
	return cmd
}

func (a *terminal) recordWithdrawCommand() *cobra.Command {
	var because string
	cmd := &cobra.Command{
		Use:   "withdraw NUMBER --because REASON",
		Short: "Take back a record of a burn that never was",
		Long:  withStatus(`Withdraw takes a burn from the record; its versions stay readable.`, statusBadInput),
		Args:  exactArgs("NUMBER"),
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := parseBurnID(args[0])
			if err != nil {
				return err
			}
			if because == "" {
				return usagef("--because is missing; accepts the reason, which is kept with the record")
			}
			at, err := a.moment()
			if err != nil {
				return err
			}
			return a.change(cmd.Context(), func(s *store.Store) error {
				err := s.Update(cmd.Context(), at, fmt.Sprintf("withdraw burn %d: %s", id, because), func(tx *store.Tx) error {
					return tx.WithdrawBurn(id)
				})
				if err != nil {
					return err
				}
				return a.say("burn %d is withdrawn", id)
			})
		},
	}
	cmd.Flags().StringVar(&because, "because", "", "`REASON`, kept with the record")
	return cmd
}

func (a *terminal) recordHistoryCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "history NUMBER",
		Short: "Show all versions of a record",
		Long:  withStatus(`History shows every version of a burn record, with when and why it was written.`, statusBadInput),
		Args:  exactArgs("NUMBER"),
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := parseBurnID(args[0])
			if err != nil {
				return err
			}
			return a.read(cmd.Context(), func(s *store.Store) error {
				versions, err := s.BurnHistory(cmd.Context(), id)
				if err != nil {
					return err
				}
				if len(versions) == 0 {
					return noBurn(id)
				}
				return a.printVersions(versions)
			})
		},
	}
}

func (a *terminal) recordFilesCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "files",
		Short: "Check that the files of the records are where and what they were",
		Long: withStatus(`Files reads every file that belongs to a record and compares its checksum. It
lists those that are gone, moved or altered and then ends with status 1. A file that is
gone is looked for by its checksum in the property file's folder and those below it.`, statusBadInput),
		Args: exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.read(cmd.Context(), func(s *store.Store) error {
				snapshot, err := s.Snapshot(cmd.Context())
				if err != nil {
					return err
				}
				return a.printFiles(snapshot.Records, filepath.Dir(s.Path()))
			})
		},
	}
}

// fileState is what has become of a file of a record.
type fileState struct {
	Burn  int64  `json:"burn"`
	Path  string `json:"path"`
	State string `json:"state"`
}

// asItWas is the state of a file that is where and what it was.
const asItWas = "as it was"

func (s *fileState) good() bool { return s.State == asItWas }

// fileStates checks every file of the records; paths are from the folder.
func fileStates(records []habitat.BurnRecord, folder string) []fileState {
	states := []fileState{}
	search := &fileSearch{folder: folder}
	for _, r := range records {
		for _, file := range r.Files {
			path := filepath.FromSlash(file.Path)
			if !filepath.IsAbs(path) {
				path = filepath.Join(folder, path)
			}
			state := asItWas
			sum, err := checksum(path)
			switch {
			case err != nil:
				state = "gone, or cannot be read"
				if moved := search.find(file); moved != "" {
					state = "moved: a file with its checksum is now " + moved
				}
			case sum != file.SHA256:
				state = "altered since it was recorded"
			}
			states = append(states, fileState{r.ID, file.Path, state})
		}
	}
	return states
}

func (a *terminal) printFiles(records []habitat.BurnRecord, folder string) error {
	states := fileStates(records, folder)
	bad := slices.ContainsFunc(states, func(s fileState) bool { return !s.good() })
	if a.json {
		if err := a.printJSON(states); err != nil {
			return err
		}
	} else {
		for _, s := range states {
			fmt.Fprintf(a.Out, "burn %d: %s: %s\n", s.Burn, s.Path, s.State)
		}
		if len(states) == 0 {
			fmt.Fprintln(a.Out, "no record has a file")
		}
	}
	if bad {
		return answered{statusFailed}
	}
	return nil
}

// findBurn gives a record that is current and its unit.
func findBurn(snapshot *store.Snapshot, id int64) (habitat.BurnRecord, *habitat.Unit, error) {
	for _, r := range snapshot.Records {
		if r.ID == id {
			unit, err := app.FindUnit(snapshot, r.Unit)
			return r, unit, err
		}
	}
	return habitat.BurnRecord{}, nil, noBurn(id)
}

func noBurn(id int64) error {
	return &source.Error{Position: source.Position{File: "NUMBER"}, Found: fmt.Sprintf("there is no burn %d", id),
		Accepts: "a number that emberquilt burns shows"}
}
