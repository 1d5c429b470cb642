package scratch

import "golang.org/x/sys/windows"

// Room is how many bytes can still be written where a folder lies; known is false
// where the system doesn't tell.
func Room(folder string) (bytes uint64, known bool) {
	path, err := windows.UTF16PtrFromString(folder)
	if err != nil {
		return 0, false
	}
	err = windows.GetDiskFreeSpaceEx(path, &bytes, nil, nil)
	return bytes, err == nil
}
