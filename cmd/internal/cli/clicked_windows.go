package cli

import (
	"os"
	"unsafe"

	"golang.org/x/sys/windows"
)

// isClicked reports whether the program was started without a command line: nobody
// but it uses its console, which Windows made for it and closes with it.
func isClicked() bool {
	if len(os.Args) != 1 {
		return false
	}
	list := windows.NewLazySystemDLL("kernel32.dll").NewProc("GetConsoleProcessList")
	if list.Find() != nil {
		return false
	}
	var processes [2]uint32
	count, _, _ := list.Call(uintptr(unsafe.Pointer(&processes[0])), uintptr(len(processes)))
	return count == 1
}

// documentsFolder is the user's, wherever Windows keeps it; empty where it is not known.
func documentsFolder() string {
	folder, err := windows.KnownFolderPath(windows.FOLDERID_Documents, windows.KF_FLAG_DEFAULT)
	if err != nil {
		return ""
	}
	return folder
}
