"""What the parts of a garment and the balance lines are called in a notebook."""

from __future__ import annotations

# Nouns: the plural in -s is added. "a | b" are spellings of one thing.
SUBJECTS: dict[str, str] = {
    "bust_dart": "bust dart | "
    "dart at bust | dart at the bust | chest dart | side bust dart",
    "bust_dart_point": "point of bust dart | point of the bust dart | bust dart point | "
    "dart point | point of dart | point of the dart",
    "bust_dart_whole": "whole bust dart | entire bust dart | whole dart at the bust",
    "bust_point": "bust point",
    "bust_dart_mouth": "mouth of bust dart | mouth of the bust dart | bust dart mouth | "
    "mouth of dart | dart mouth | bust dart direction | direction of bust dart",
    "shoulder_dart": "shoulder dart | dart at shoulder | back shoulder dart",
    "front_waist_dart": "front waist dart | front dart | waist dart front",
    "back_waist_dart": "back waist dart | back dart at waist | back dart | waist dart back",
    "waist_dart": "waist dart",
    "dart": "dart",
    "side_seam": "side seam | sides | the sides | ss | sideseam | outside leg seam | outseam",
    "centre_back": "cb | cb seam | centre back | center back | centre back seam | "
    "center back seam | back seam",
    "inseam": "inseam | inside leg seam | inside leg | inner leg seam | inleg | inleg seam",
    "seat_seam": "seat seam | back crotch seam | back seat seam",
    "front_crotch_seam": "front crotch seam | fly seam | front seat seam",
    "crotch_seam": "crotch seam",
    "shoulder_seam": "shoulder seam",
    "sleeve_seam": "sleeve seam | underarm sleeve seam | sleeve underarm seam | "
    "underarm seam of sleeve",
    "neck_point": "neck point | np | shoulder neck point | neckpoint",
    "neckline": "neckline | neck | neck line",
    "sleeve": "sleeve | sleeve length",
    "sleeve_pitch": "sleeve pitch | pitch of sleeve | pitch of the sleeve",
    "sleeve_hem": "sleeve hem | cuff | hem of sleeve | hem of the sleeve | bottom of sleeve",
    "elbow": "elbow",
    "hem": "hem | hem level | hemline | bottom edge | bottom",
    "leg": "leg | leg length | trouser length | trousers length",
    "body": "body | body length | jacket length | length of body | length of jacket | "
    "length of the jacket",
    "armhole": "armhole | armhole depth | armscye | scye | armhole bottom",
    "shoulder": "shoulder | shoulder end | shoulder tip | shoulder point",
    "shoulder_slope": "shoulder slope | slope of shoulder | slope of the shoulder",
    "hollow_back": "hollow back | hollow of the back | sway back | swayback | hollow at back waist",
    "round_back": "round back | blade | shoulder blade | rounded back | high round back",
    "crotch": "crotch | crotch depth | depth of crotch | fork depth | crotch line | body rise",
    "fork": "fork | fork extension | crotch extension | fork point | crotch point",
    "seat_wedge": "seat wedge | wedge at seat | wedge at the seat | seat angle | wedge in the seat",
    "rise": "rise",
    "pocket": "pocket",
    "side_pocket": "side pocket",
    "patch_pocket": "patch pocket | patch",
    "pocket_opening": "pocket opening | opening of pocket | opening of the pocket | pocket mouth",
    "side_pocket_opening": "side pocket opening",
    "patch_pocket_opening": "patch pocket opening",
    "waistband": "waistband | band | waist band | waistband length",
    "over_seat": "over seat | over the seat | across the seat | across seat | seat | seat girth | "
    "over the bottom | round the seat",
    "across_back": "across back | across the back | over the back | back width | x back | "
    "crossback",
    "across_front": "across front | across the front | across chest | across the chest | "
    "front width",
    "thigh": "thigh | thigh girth | round the thigh | over the thigh",
    "upper_arm": "upper arm | upper arm girth | bicep | sleeve width | width of sleeve | top arm",
    "waist_back": "back waist | back of waist | back of the waist | waist back",
    "wedge": "wedge",
    "mouth": "mouth",
    "lapel": "lapel", "collar": "collar", "facing": "facing", "fly": "fly", "turn_up": "turn-up | "
    "turn up cuff | turnup", "yoke": "yoke", "crease": "crease", "knee_width": "knee width",
    "buttonhole": "buttonhole",
}  # fmt: skip
LEVELS: dict[str, str] = {
    "waist": "waist | waist line | waistline | waist level",
    "hip": "hip | hip line | hip level | hipline",
    "bust": "bust | bust line | bust level | bustline",
    "knee": "knee | knee line | knee level",
    "underarm": "underarm | under arm | under the arm | armpit",
}
