#!/usr/bin/env python3
"""Measures how the code stands: sizes, names, and who leans on whom.

    python3 benches/house.py [ROOT]

Counted is what ships: files below src, without tests, comments and blank lines.
A type is a struct, enum, trait, union or alias at the top level of a file. An
arrow goes from a file to the file that defines what it names (a re-export is
looked through, and is no arrow); a circle is a strongly connected set of files.
"""

import collections
import pathlib
import re
import sys

ROOT = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ".") / "src"
TYPE = re.compile(r"^(?:pub(?:\([^)]*\))? +)?(?:struct|enum|trait|union|type) +([A-Z]\w*)")
ITEM = re.compile(
    r"^(?:pub(?:\([^)]*\))? +)?(?:const |unsafe |async )*(?:struct|enum|trait|union|type|fn|const|static|macro_rules!) +(\w+)"
)
FUNCTION = re.compile(r"^( *)(?:pub(?:\([^)]*\))? +)?(?:const |unsafe |async )*fn +(\w+)")


def shipped(path):
    """The lines of code of a file that are built into the program."""
    text = path.read_text().split("#[cfg(test)]\nmod tests {")[0]
    lines = (line.rstrip() for line in text.splitlines())
    return [line for line in lines if line and not line.lstrip().startswith("//")]


def is_test(path):
    return path.name == "tests.rs" or "tests" in path.parts


FILES = {p: shipped(p) for p in sorted(ROOT.rglob("*.rs")) if not is_test(p.relative_to(ROOT))}


def module(path):
    parts = list(path.relative_to(ROOT).with_suffix("").parts)
    return tuple(p for p in parts if p not in ("mod", "lib", "main"))


MODULES = {module(p): p for p in FILES if p.name != "main.rs"}


def expand(tree):
    """Every path of a use-tree written out, as lists of names."""
    tree = re.sub(r"\s+", "", re.sub(r"\bas\s+\w+", "", tree))
    depth, start, branches = 0, 0, []
    for at, c in enumerate(tree + ","):
        depth += (c == "{") - (c == "}")
        if c == "," and depth == 0:
            branches.append(tree[start:at])
            start = at + 1
    out = []
    for branch in filter(None, branches):
        head, brace, tail = branch.partition("{")
        names = [name for name in head.split("::") if name]
        out += [names + rest for rest in expand(tail[:-1])] if brace else [names]
    return out


def absolute(names, where):
    """The path from the crate's root, or nothing where it is of another crate."""
    names = list(names)
    if names[0] in ("crate", "longpoint"):
        return tuple(names[1:])
    base = list(where)
    if names[0] == "self":
        return tuple(base + names[1:])
    if names[0] == "super":
        while names and names[0] == "super":
            base = base[:-1]
            names = names[1:]
        return tuple(base + names)
    if tuple(base + names[:1]) in MODULES:
        return tuple(base + names)
    return None


DEFINED, PASSED_ON, USED = {}, {}, {}
for path, lines in FILES.items():
    here = module(path)
    text = "\n".join(lines)
    DEFINED[here] = {m.group(1) for line in lines if (m := ITEM.match(line))}
    PASSED_ON[here], USED[path] = {}, set()
    for m in re.finditer(r"^( *)(pub(?:\([^)]*\))? +)?use +([^;]+);", text, re.M):
        for names in expand(m.group(3)):
            full = absolute(names, here)
            if full is None:
                continue
            if m.group(2):
                PASSED_ON[here][full[-1]] = full
            else:
                USED[path].add(full)
    text = re.sub(r"pub\([^)]*\)", "pub", text)
    rest = re.sub(r"^( *)(pub(?:\([^)]*\))? +)?use +([^;]+);", "", text, flags=re.M)
    for m in re.finditer(r"\b((?:crate|super|longpoint)(?:::\w+)+|[a-z_]\w*::\w+(?:::\w+)*)", rest):
        if full := absolute(m.group(1).split("::"), here):
            USED[path].add(full)


def home(full, depth=0):
    """The file that defines what a path names."""
    for cut in range(len(full), -1, -1):
        if (base := tuple(full[:cut])) in MODULES:
            break
    if cut == len(full):
        return MODULES[base]
    name = full[cut]
    if name in PASSED_ON[base] and name not in DEFINED[base] and depth < 8:
        return home(PASSED_ON[base][name] + tuple(full[cut + 1 :]), depth + 1)
    return MODULES[base]


ARROWS = {p: {home(u) for u in used} - {p} for p, used in USED.items()}


def circles():
    """Strongly connected sets of files (Tarjan), the largest first."""
    index, low, on, stack, found = {}, {}, set(), [], []
    for start in ARROWS:
        if start in index:
            continue
        work = [(start, iter(sorted(ARROWS[start])))]
        index[start] = low[start] = len(index)
        stack.append(start)
        on.add(start)
        while work:
            node, after = work[-1]
            for target in after:
                if target not in index:
                    index[target] = low[target] = len(index)
                    stack.append(target)
                    on.add(target)
                    work.append((target, iter(sorted(ARROWS.get(target, ())))))
                    break
                if target in on:
                    low[node] = min(low[node], index[target])
            else:
                work.pop()
                if work:
                    low[work[-1][0]] = min(low[work[-1][0]], low[node])
                if low[node] == index[node]:
                    group = []
                    while True:
                        other = stack.pop()
                        on.discard(other)
                        group.append(other)
                        if other == node:
                            break
                    if len(group) > 1:
                        found.append(group)
    return sorted(found, key=len, reverse=True)


def functions(lines):
    """Name and code lines of each function of a file, as rustfmt lays it out."""
    for at, line in enumerate(lines):
        if m := FUNCTION.match(line):
            end = next((k for k in range(at, len(lines)) if lines[k] == m.group(1) + "}"), at)
            yield end - at + 1, m.group(2)


def main():
    show = lambda path: str(path.relative_to(ROOT))
    code = sum(map(len, FILES.values()))
    types = [(m.group(1), p) for p, lines in FILES.items() for line in lines if (m := TYPE.match(line))]
    names = collections.Counter(name for name, _ in types)
    double = {name: n for name, n in names.items() if n > 1}
    busiest = max(FILES, key=lambda p: len(ARROWS[p]))
    sought = collections.Counter(t for targets in ARROWS.values() for t in targets).most_common(1)[0]
    longest = max(FILES, key=lambda p: len(p.read_text().splitlines()))
    size, name, where = max((n, f, show(p)) for p, lines in FILES.items() for n, f in functions(lines))
    print(f"files                    {len(FILES)}")
    print(f"code lines               {code}")
    print(f"types                    {len(types)}")
    print(f"types per 1,000 lines    {1000 * len(types) / code:.1f}")
    print(f"type names               {len(names)}")
    print(f"names used twice or more {len(double)} ({100 * len(double) / len(names):.0f} %)")
    found = circles()
    print(f"circles of files         {len(found)}, sizes {[len(c) for c in found]}")
    print(f"most imports in a file   {len(ARROWS[busiest])} ({show(busiest)})")
    print(f"most imported file       {sought[1]} ({show(sought[0])})")
    print(f"longest file             {len(longest.read_text().splitlines())} ({show(longest)})")
    print(f"files over 400 lines     {sum(len(p.read_text().splitlines()) > 400 for p in FILES)}")
    print(f"longest function         {size} ({where}: {name})")
    if "-v" in sys.argv:
        for name, n in sorted(double.items()):
            print(name, n, ", ".join(show(p) for other, p in types if other == name))
        for circle in found:
            print(len(circle), ", ".join(sorted(map(show, circle))))
        rooms = collections.defaultdict(lambda: [0, 0, 0])
        for p, lines in FILES.items():
            room = "/".join(p.relative_to(ROOT).parts[:-1][:2]) or "."
            rooms[room][0] += 1
            rooms[room][1] += len(lines)
            rooms[room][2] += sum(bool(TYPE.match(line)) for line in lines)
        for room, (files, lines, kinds) in sorted(rooms.items()):
            print(f"{room:16} files {files:3}  code {lines:6}  types {kinds:3}  per 1,000 {1000 * kinds / lines:.1f}")


main()
