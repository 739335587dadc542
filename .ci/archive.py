"""Packs a program with its licenses, the same bytes each time:
    archive.py FOLDER NAME SYSTEM VERSION SECONDS PROGRAM LICENSES README
A tar.gz for Linux, a zip for Windows and macOS. On macOS the program is also an
application to double-click, which the system starts without a command line."""
import gzip, io, os, sys, tarfile, time, zipfile

folder, name, system, version, seconds, program, licenses, readme = sys.argv[1:]
moment = max(int(seconds), 315532800)  # zip knows no year before 1980


def read(path):
    with open(path, "rb") as f:
        return f.read()


files = [(os.path.basename(program), read(program), 0o755), ("LICENSES.txt", read(licenses), 0o644), ("README.md", read(readme), 0o644)]
if system == "darwin":
    plist = f"""<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0"><dict>
<key>CFBundleExecutable</key><string>emberquilt</string>
<key>CFBundleIdentifier</key><string>emberquilt</string>
<key>CFBundleName</key><string>Emberquilt</string>
<key>CFBundlePackageType</key><string>APPL</string>
<key>CFBundleShortVersionString</key><string>{version}</string>
<key>LSUIElement</key><true/>
</dict></plist>
"""
    files += [("Emberquilt.app/Contents/Info.plist", plist.encode(), 0o644), ("Emberquilt.app/Contents/MacOS/emberquilt", read(program), 0o755)]
if system == "linux":
    b = io.BytesIO()
    with tarfile.open(fileobj=b, mode="w", format=tarfile.USTAR_FORMAT) as t:
        for path, data, mode in files:
            info = tarfile.TarInfo(f"{name}/{path}")
            info.size, info.mode, info.mtime = len(data), mode, moment
            t.addfile(info, io.BytesIO(data))
    with open(os.path.join(folder, name + ".tar.gz"), "wb") as f:
        f.write(gzip.compress(b.getvalue(), mtime=0))
else:
    with zipfile.ZipFile(os.path.join(folder, name + ".zip"), "w", zipfile.ZIP_DEFLATED) as z:
        for path, data, mode in files:
            info = zipfile.ZipInfo(f"{name}/{path}", time.gmtime(moment)[:6])
            info.compress_type, info.create_system, info.external_attr = zipfile.ZIP_DEFLATED, 3, (0o100000 | mode) << 16
            z.writestr(info, data)
