"""The invented record office of Marrowby on the river Hendle: what its six collections are like.

Nothing here stands for a real place, person, firm or institution. Lengths are mm, thicknesses um.
"""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Find:
    """One kind of opening a surveyor meets: hazards as typed, contents of both pages, likely severities."""

    hazards: str
    left: str
    right: str
    weight: int
    severities: tuple[int, ...] = (1, 2, 2, 3)
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Series:
    """One collection. Weighted choices are tuples in which a word stands as often as it weighs."""

    name: str
    prefix: str
    volumes: int
    first_year: int
    titles: tuple[str, ...]
    shelf: str
    sizes: tuple[tuple[int, int], ...]
    leaves: tuple[int, int]
    leaf_um: tuple[int, int]
    bulge: tuple[int, int]
    bindings: tuple[str, ...]
    joints: tuple[str, ...]
    conditions: tuple[str, ...]
    uses: tuple[str, ...]
    significances: tuple[int, ...]
    contents: tuple[str, ...]
    share_pct: tuple[int, int]
    surveys: tuple[str, ...]
    finds: tuple[Find, ...]
    odour_pct: int = 0
    old_leaves_pct: int = 0
    enclosures: tuple[str, ...] = ("new", "new", "new", "keep")
    skills: tuple[str, ...] = ("volunteer", "volunteer", "technician")


CARNIVAL = Series(
    name="Carnival committee",
    prefix="CC",
    volumes=96,
    first_year=1903,
    titles=("Carnival scrapbook", "Procession and prizes", "Costume designs", "Bandstand and fair cuttings"),
    shelf="Strongroom 1",
    sizes=((254, 305), (254, 305), (280, 356), (225, 290), (305, 380)),
    leaves=(36, 84),
    leaf_um=(260, 420),
    bulge=(1, 9),
    bindings=("sewn", "sewn", "sewn", "laced", "laced", "post", "guarded"),
    joints=("sound",) * 6 + ("weak", "weak", "split"),
    conditions=("sound", "sound", "fragile", "brittle"),
    uses=("occasional", "occasional", "frequent", "rare"),
    significances=(2, 3, 3, 4, 5),
    contents=("print, manuscript", "print, silver_print", "print, artwork", ""),
    share_pct=(30, 70),
    surveys=("listed", "counts", "counts", "both"),
    finds=(
        Find(hazards="acidic_insert", left="print", right="print", weight=8, note="newsprint cuttings"),
        Find(hazards="left:acidic_insert", left="print", right="silver_print", weight=4),
        Find(hazards="left:fastener", left="print", right="photograph", weight=3, note="rusted staples"),
        Find(hazards="acidic_insert; fastener", left="print", right="manuscript", weight=3),
        Find(hazards="staining_adhesive", left="print", right="manuscript", weight=4, note="aged tape"),
        Find(hazards="unstable_media", left="artwork", right="print", weight=3, note="dyed crepe paper"),
        Find(hazards="right:friable_media", left="blank", right="artwork", weight=3, note="costume pastels"),
        Find(
            hazards="raised_attachment", left="silk", right="textile", weight=2, note="rosettes and ribbons"
        ),
        Find(hazards="tacky_adhesive", left="print", right="", weight=1, note="adhesive has run"),
    ),
    odour_pct=8,
    old_leaves_pct=10,
)

SEEDS = Series(
    name="Seed merchant's samples",
    prefix="SM",
    volumes=70,
    first_year=1886,
    titles=("Seed samples", "Packet designs", "Trial ground notes", "Price lists with labels"),
    shelf="Strongroom 1",
    sizes=((210, 270), (210, 270), (180, 230), (200, 320)),
    leaves=(30, 70),
    leaf_um=(300, 520),
    bulge=(2, 9),
    bindings=("guarded", "guarded", "guarded", "sewn", "ring", "adhesive"),
    joints=("sound",) * 6 + ("weak", "weak", "split"),
    conditions=("sound", "sound", "sound", "fragile", "brittle"),
    uses=("rare", "occasional", "occasional"),
    significances=(1, 2, 3, 3, 4),
    contents=("specimen, print", "specimen; leather; print", "print", ""),
    share_pct=(25, 65),
    surveys=("listed", "counts", "both"),
    finds=(
        Find(
            hazards="right:raised_attachment",
            left="manuscript",
            right="specimen",
            weight=8,
            note="seed packets",
        ),
        Find(hazards="raised_attachment", left="specimen", right="specimen", weight=4),
        Find(hazards="acidic_insert", left="print", right="print", weight=5),
        Find(hazards="unstable_media", left="print", right="artwork", weight=4, note="colour proofs"),
        Find(hazards="staining_adhesive", left="manuscript", right="print", weight=4),
        Find(hazards="left:fastener, right:raised_attachment", left="leather", right="specimen", weight=2),
        Find(hazards="tacky_adhesive", left="print", right="print", weight=1),
    ),
    odour_pct=6,
    old_leaves_pct=20,
)

EXCURSIONS = Series(
    name="Excursion photograph albums",
    prefix="EX",
    volumes=88,
    first_year=1892,
    titles=("Hendle steamer excursion", "Viaduct outing", "Moor and waterfall views", "Rambling club album"),
    shelf="Cool store",
    sizes=((330, 250), (330, 250), (280, 215), (255, 180), (205, 255)),
    leaves=(24, 60),
    leaf_um=(450, 700),
    bulge=(0, 7),
    bindings=("sewn", "post", "laced", "guarded", "spiral", "ring"),
    joints=("sound", "sound", "sound", "sound", "weak", "split"),
    conditions=("sound", "sound", "sound", "fragile", "brittle"),
    uses=("occasional", "frequent", "rare"),
    significances=(2, 3, 4, 4, 5),
    contents=(
        "silver_print",
        "silver_print, print",
        "albumen_print; silver_print",
        "colour_print",
        "cyanotype, print",
        "",
    ),
    share_pct=(40, 85),
    surveys=("listed", "listed", "counts", "both"),
    finds=(
        Find(hazards="facing_photographs", left="silver_print", right="silver_print", weight=10),
        Find(hazards="facing_photographs", left="albumen_print", right="albumen_print", weight=4),
        Find(
            hazards="facing_photographs",
            left="colour_print",
            right="dye_print",
            weight=3,
            note="late colour prints",
        ),
        Find(
            hazards="right:acidic_insert",
            left="silver_print",
            right="print",
            weight=3,
            note="folded timetable",
        ),
        Find(hazards="left:fastener", left="print", right="silver_print", weight=2, note="pinned ticket"),
        Find(hazards="raised_attachment", left="silver_print", right="print", weight=2, note="metal corners"),
        Find(hazards="staining_adhesive", left="photograph", right="print", weight=2),
        Find(hazards="facing_photographs", left="cyanotype", right="cyanotype", weight=2),
        Find(hazards="acidic_insert", left="diazotype", right="print", weight=1, note="route plan"),
        Find(
            hazards="tacky_adhesive",
            left="colour_print",
            right="colour_print",
            weight=1,
            note="self-adhesive leaf",
        ),
    ),
    old_leaves_pct=15,
    skills=("technician", "technician", "volunteer"),
)

SCHOOL = Series(
    name="Marrowby school cuttings",
    prefix="SC",
    volumes=82,
    first_year=1911,
    titles=("School cuttings", "Sports day and concerts", "Garden club notes", "Prize day programmes"),
    shelf="Reading room store",
    sizes=((203, 254), (203, 254), (215, 280), (190, 240)),
    leaves=(30, 72),
    leaf_um=(140, 260),
    bulge=(0, 4),
    bindings=("sewn", "adhesive", "adhesive", "spiral", "ring"),
    joints=("sound", "sound", "sound", "sound", "weak"),
    conditions=("sound", "fragile", "brittle"),
    uses=("rare", "rare", "occasional"),
    significances=(1, 2, 2, 3),
    contents=("print", "print, manuscript", "print, photograph", ""),
    share_pct=(35, 80),
    surveys=("counts", "counts", "listed", "both"),
    finds=(
        Find(hazards="acidic_insert", left="print", right="print", weight=10),
        Find(hazards="right:acidic_insert", left="manuscript", right="print", weight=4),
        Find(hazards="staining_adhesive", left="print", right="print", weight=5),
        Find(hazards="acidic_insert, staining_adhesive", left="print", right="photograph", weight=2),
        Find(hazards="right:unstable_media", left="print", right="manuscript", weight=2, note="dye ink"),
        Find(hazards="right:friable_media", left="print", right="artwork", weight=1, note="chalk drawings"),
        Find(hazards="fastener", left="print", right="", weight=2),
    ),
    odour_pct=12,
    old_leaves_pct=5,
    enclosures=("new", "keep", "keep", "none"),
    skills=("volunteer",),
)

BOTANIST = Series(
    name="Botanist's specimen albums",
    prefix="003",
    volumes=48,
    first_year=1871,
    titles=("Flora of the Hendle valley", "Mosses and ferns", "Grasses of the water meadows"),
    shelf="Strongroom 2",
    sizes=((270, 430), (270, 430), (250, 400), (235, 355)),
    leaves=(40, 80),
    leaf_um=(240, 380),
    bulge=(4, 14),
    bindings=("guarded", "guarded", "post", "laced", "sewn"),
    joints=("sound",) * 6 + ("weak", "weak", "split"),
    conditions=("sound", "sound", "fragile", "brittle"),
    uses=("rare", "occasional", "frequent"),
    significances=(3, 4, 4, 5),
    contents=("specimen, manuscript", "specimen; manuscript; artwork", "specimen, cyanotype"),
    share_pct=(40, 75),
    surveys=("listed", "listed", "both"),
    finds=(
        Find(hazards="right:raised_attachment", left="blank", right="specimen", weight=8),
        Find(hazards="raised_attachment", left="specimen", right="specimen", weight=6),
        Find(hazards="right:fastener", left="manuscript", right="specimen", weight=3, note="pinned stems"),
        Find(hazards="right:friable_media", left="specimen", right="artwork", weight=2),
        Find(hazards="right:staining_adhesive", left="cyanotype", right="specimen", weight=2),
    ),
    skills=("technician", "technician", "conservator"),
)

POSTERS = Series(
    name="Poster guard-books",
    prefix="PG",
    volumes=36,
    first_year=1920,
    titles=("Theatre bills", "River ferry posters", "Auction bills"),
    shelf="Plan store",
    sizes=((480, 700), (480, 700), (420, 600), (497, 720)),
    leaves=(24, 50),
    leaf_um=(420, 700),
    bulge=(2, 10),
    bindings=("guarded", "guarded", "guarded", "post"),
    joints=("sound", "sound", "sound", "weak"),
    conditions=("sound", "fragile", "brittle"),
    uses=("rare", "occasional"),
    significances=(3, 4, 5),
    contents=("print", "print", "print, artwork", "print, artwork", "print, wool"),
    share_pct=(35, 75),
    surveys=("listed", "counts", "both"),
    finds=(
        Find(hazards="acidic_insert", left="print", right="print", weight=6),
        Find(hazards="right:unstable_media", left="print", right="print", weight=4, note="bleeding red"),
        Find(hazards="right:friable_media", left="print", right="artwork", weight=2),
        Find(hazards="staining_adhesive", left="print", right="print", weight=3),
        Find(hazards="left:acidic_insert", left="print", right="wool", weight=1, note="knitted mascot"),
    ),
    enclosures=("new", "keep", "keep"),
    skills=("technician",),
)

SERIES = (CARNIVAL, SEEDS, EXCURSIONS, SCHOOL, BOTANIST, POSTERS)
