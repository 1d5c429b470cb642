// Archive packs the binary of one target for release, the same bytes every time:
// names sorted, times those of the commit, no owners. Windows gets a zip, others
// a tar.gz. Beside the binary stand README, licence and the pages of pipeline,
// and the licences of the modules that are in the binary.
//
// Usage: go run ./.ci/archive -o ARCHIVE -folder NAME -time UNIX BINARY FILE…
package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"debug/buildinfo"
	"flag"
	"fmt"
	"io"
	"log"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// entry is a file of the archive.
type entry struct {
	name string
	mode int64
	data []byte
}

func main() {
	log.SetFlags(0)
	out := flag.String("o", "", "archive to write, .zip or .tar.gz")
	folder := flag.String("folder", "", "folder that all files of the archive lie in")
	unix := flag.Int64("time", 0, "time of all files, seconds since 1970")
	flag.Parse()
	if *out == "" || *folder == "" || *unix == 0 || flag.NArg() == 0 {
		log.Fatal("usage: archive -o ARCHIVE -folder NAME -time UNIX BINARY FILE…")
	}
	if err := run(*out, *folder, time.Unix(*unix, 0).UTC(), flag.Args()); err != nil {
		log.Fatal("archive: ", err)
	}
}

func run(out, folder string, at time.Time, files []string) error {
	var entries []entry
	for i, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			return err
		}
		e := entry{path.Join(folder, filepath.ToSlash(f)), 0o644, data}
		if i == 0 {
			e = entry{path.Join(folder, filepath.Base(f)), 0o755, data}
		}
		entries = append(entries, e)
	}
	licences, err := licencesOf(files[0])
	if err != nil {
		return err
	}
	entries = append(entries, entry{path.Join(folder, "LICENCES-OF-MODULES.txt"), 0o644, licences})
	slices.SortFunc(entries, func(a, b entry) int { return strings.Compare(a.name, b.name) })
	var b bytes.Buffer
	pack := packTar
	if strings.HasSuffix(out, ".zip") {
		pack = packZip
	}
	if err := pack(&b, entries, at); err != nil {
		return err
	}
	return os.WriteFile(out, b.Bytes(), 0o644)
}

func packTar(w io.Writer, entries []entry, at time.Time) error {
	zipped := gzip.NewWriter(w) // without name and time
	out := tar.NewWriter(zipped)
	for _, e := range entries {
		if err := out.WriteHeader(&tar.Header{Typeflag: tar.TypeReg, Name: e.name, Mode: e.mode, Size: int64(len(e.data)), ModTime: at, Format: tar.FormatUSTAR}); err != nil {
			return err
		}
		if _, err := out.Write(e.data); err != nil {
			return err
		}
	}
	if err := out.Close(); err != nil {
		return err
	}
	return zipped.Close()
}

func packZip(w io.Writer, entries []entry, at time.Time) error {
	out := zip.NewWriter(w)
	for _, e := range entries {
		h := &zip.FileHeader{Name: e.name, Method: zip.Deflate, Modified: at}
		h.SetMode(os.FileMode(e.mode))
		f, err := out.CreateHeader(h)
		if err != nil {
			return err
		}
		if _, err := f.Write(e.data); err != nil {
			return err
		}
	}
	return out.Close()
}

// licencesOf are the licence and notice files of every module in a binary, and
// of Go itself.
func licencesOf(binary string) ([]byte, error) {
	info, err := buildinfo.ReadFile(binary)
	if err != nil {
		return nil, err
	}
	root, err := ask("go", "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	fmt.Fprintln(&b, "The binary holds code of these modules.")
	if err := appendLicences(&b, "Go "+info.GoVersion, root); err != nil {
		return nil, err
	}
	for _, d := range info.Deps {
		dir, err := ask("go", "list", "-m", "-f", "{{.Dir}}", d.Path)
		if err != nil {
			return nil, err
		}
		if err := appendLicences(&b, d.Path+" "+d.Version, dir); err != nil {
			return nil, err
		}
	}
	return b.Bytes(), nil
}

func ask(name string, args ...string) (string, error) {
	out, err := exec.Command(name, args...).Output()
	if err != nil {
		return "", fmt.Errorf("%s %s: %w", name, strings.Join(args, " "), err)
	}
	return strings.TrimSpace(string(out)), nil
}

func appendLicences(b *bytes.Buffer, title, dir string) error {
	names, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	found := false
	grants := func(name string) bool {
		upper := strings.ToUpper(name)
		return strings.HasPrefix(upper, "LICEN") || strings.HasPrefix(upper, "COPYING") || strings.HasPrefix(upper, "NOTICE")
	}
	if !slices.ContainsFunc(names, func(n os.DirEntry) bool { return grants(n.Name()) }) {
		grants = func(name string) bool { return name == "README.md" } // where some say it
	}
	for _, n := range names {
		if n.IsDir() || !grants(n.Name()) {
			continue
		}
		text, err := os.ReadFile(filepath.Join(dir, n.Name()))
		if err != nil {
			return err
		}
		if n.Name() == "README.md" && !bytes.Contains(bytes.ToLower(text), []byte("license")) {
			continue
		}
		fmt.Fprintf(b, "\n\n==== %s, %s ====\n\n%s", title, n.Name(), bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")))
		found = true
	}
	if !found {
		return fmt.Errorf("%s has no licence file: may its code be passed on?", title)
	}
	return nil
}
