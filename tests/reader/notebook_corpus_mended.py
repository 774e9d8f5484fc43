"""Lines reviewers tried that were read wrongly, not read, or kept for a wrong reason; as mended."""

from __future__ import annotations

from .notebook_corpus import ONE_OUT, UNIT, Line, asks, kept, read

DART = "place:mouth,point,dart"

MENDED: tuple[Line, ...] = (
    # --- a fraction is of inches, surely, where the order is kept in cm
    asks(
        "take 5/8 off the trouser hem",
        UNIT,
        "inch",
        "hem trouser_hem both -1.5875 level @trousers",
    ),
    asks("hem up 1 1/2", UNIT, "inch", "hem trouser_hem both -3.81 level @trousers", g="T"),
    asks("hem up 1 1/8", UNIT, "cm", "hem trouser_hem both -1.125 level @trousers", g="T"),
    asks("hem up 4/8", UNIT, "inch", "hem trouser_hem both -1.27 level @trousers", g="T"),
    asks("hem up a quarter", UNIT, "inch", "hem trouser_hem both -0.635 level @trousers", g="T"),
    read("hem up 1/2", "hem trouser_hem both -0.5 level @trousers", g="T"),
    read("hem up one and a half", "hem trouser_hem both -1.5 level @trousers", g="T"),
    read("hem up 5/8 of a cm", "hem trouser_hem both -0.625 level @trousers", g="T"),
    asks(  # one answer for the line
        "R up 5/8 L up 1/2 hem",
        UNIT,
        "inch",
        "hem trouser_hem right -1.5875 level @trousers",
        "hem trouser_hem left -1.27 level @trousers",
        g="T",
    ),
    asks(
        "hem up 1 inch R, 1/2 L",
        UNIT,
        "inch",
        "hem trouser_hem right -2.54 level @trousers",
        "hem trouser_hem left -1.27 level @trousers",
        g="T",
    ),
    asks(
        "hem up 5 mm R, 3 L",
        "unit:cm,mm",
        "mm",
        "hem trouser_hem right -0.5 level @trousers",
        "hem trouser_hem left -0.3 level @trousers",
        g="T",
    ),
    read(
        "hem up 5 mm, crotch 1 deeper",
        "hem trouser_hem both -0.5 level @trousers",
        "crotch_depth crotch both +1 level @trousers",
        g="T",
    ),
    asks(
        "waist measured 29 1/2",
        UNIT,
        "inch",
        "waistband_length waistband both +74.93 measure @trousers",
    ),
    asks("waist measured 29 1/2", UNIT, "cm"),  # no waist of 29.5 cm: kept as text
    read(
        "hem up 1 1/8 R, 1/2 L",
        "hem trouser_hem right -2.8575 level @trousers",
        "hem trouser_hem left -1.27 level @trousers",
        g="T",
        unit="inch",
    ),
    read("hem up 5/8", "hem trouser_hem both -1.5875 level @trousers", g="T", unit="inch"),
    # --- bust dart up and down
    asks(
        "raise bust darts 1 cm",
        DART,
        "mouth",
        "bust_dart_direction bust_dart both +1 length @jacket",
    ),
    asks(
        "bust dart 2 higher", DART, "mouth", "bust_dart_direction bust_dart both +2 length @jacket"
    ),
    asks(
        "bust dart 1 lower L", DART, "mouth", "bust_dart_direction bust_dart left -1 length @jacket"
    ),
    asks("bust dart 2 higher", DART, "point"),
    asks("bust dart 2 higher", DART, "dart"),
    asks(
        "raise bust darts 1, jacket hem up 2",
        DART,
        "dart",
        "hem jacket_hem both -2 level @jacket",
    ),
    read("bust dart mouth 1 up the side", "bust_dart_direction bust_dart both +1 length @jacket"),
    read("bust dart 1 up the side R", "bust_dart_direction bust_dart right +1 length @jacket"),
    kept("bust dart point 1 lower", "1"),
    kept("whole bust dart down 1", "1"),
    kept("bust point 1 lower", "1"),
    kept("raise bust dart 1", "1", g="T"),
    # --- hem, waist and neck at the centre back
    read("jacket hem CB 1 lower", "hem_level jacket_hem both 0 level back=+1 @jacket"),
    read("jacket CB hem down 1", "hem_level jacket_hem both 0 level back=+1 @jacket"),
    read("lower CB at the hem 1", "hem_level jacket_hem both 0 level back=+1 @jacket"),
    kept("hem CB 1 lower", "1", g="T"),
    read("jacket hem CF 1 up", "hem_level jacket_hem both 0 level front=-1 @jacket"),
    read(
        "hem 1 lower CB, 0.5 lower CF",
        "hem_level jacket_hem both 0 level back=+1 front=+0.5 @jacket",
    ),
    read("trousers: drop cb 1.5", "seat_wedge seat both -1.5 level @trousers"),
    asks(
        "drop CB 1.5",
        "place:seat,jacket_hem,back_neck",
        "jacket_hem",
        "hem_level jacket_hem both 0 level back=+1.5 @jacket",
    ),
    asks(
        "lower CB 1",
        "place:jacket_hem,back_neck",
        "back_neck",
        "neckline back_neck both +1 level @jacket",
        g="J",
    ),
    # --- waistband
    read("band 1 tighter all round", "waistband_length waistband both -1 length @trousers"),
    read("waistband 1.5 looser", "waistband_length waistband both +1.5 length @trousers"),
    read("waist girth measured 74", "waistband_length waistband both +74 measure @trousers"),
    read("measure waist: 74", "waistband_length waistband both +74 measure @trousers"),
    read("waist measurement 74", "waistband_length waistband both +74 measure @trousers"),
    read("waist taken again: 74.5", "waistband_length waistband both +74.5 measure @trousers"),
    kept("take in side seams 74", "74", g="J"),
    # --- legs
    read(
        "taper leg 1 from knee to hem each seam",
        "let_out side_seam both -1 removed from=hem to=knee shape=taper @trousers",
        "let_out inseam both -1 removed from=hem to=knee shape=taper @trousers",
    ),
    asks(
        "taper R leg 1 from knee to hem",
        "place:side_seam,inseam,both meant_as:fold,removed,edge",
        "inseam edge",
        "let_out inseam right -1 edge from=hem to=knee shape=taper @trousers",
    ),
    asks(
        "narrow legs 1 per edge below the knee",
        "place:side_seam,inseam,both",
        "both",
        "let_out side_seam both -1 edge from=knee to=hem @trousers",
        "let_out inseam both -1 edge from=knee to=hem @trousers",
    ),
    kept("taper side seams 1 per edge from waist to hip", "1", g="J"),
    # --- sides
    read("take in the jacket sides 0.5 per edge", "let_out side_seam both -0.5 edge @jacket"),
    asks(
        "trouser sides out 1 per edge",
        "direction:more,less",
        "more",
        "let_out side_seam both +1 edge @trousers",
    ),
    read("take in at the sides 0.5 per edge", "let_out side_seam both -0.5 edge @jacket", g="J"),
    # --- what is seen, and what is done about it
    read(
        "sleeves pitched back, bring forward 0.8 both",
        "sleeve_pitch sleeve both +0.8 length @jacket",
        obs="fit",
    ),
    read(
        "L sleeve swung forward, bring back 0.5",
        "sleeve_pitch sleeve left -0.5 length @jacket",
        obs="fit",
    ),
    read("sleeves pitched back, 0.8 both", "sleeve_pitch sleeve both -0.8 length @jacket"),
    asks(
        "sleeves pitched forward, 0.5 longer",
        "rest:go_on,keep_text",
        "go_on",
        "sleeve_length sleeve_hem both +0.5 level @jacket",
    ),
    asks(
        "thighs tight R, give 1 at inseam",
        f"side:both,right {ONE_OUT}",
        "right removed",
        "let_out inseam right +1 removed @trousers",
        obs="fit",
    ),
    read(
        "thighs tight, give 1 at the inseams per edge",
        "let_out inseam both +1 edge @trousers",
        obs="fit",
    ),
    # --- only the garments that have it
    read("pass the back up 0.7", "pass_back side_seam both +0.7 level @jacket"),
    kept("pass the back up 0.7", "0.7", g="T"),
    kept("trousers: pass the back up 0.7", "0.7"),
    # --- pins at the end of a list
    read(
        "hem R up 1.5 L up 1 with pins in",
        "hem jacket_hem right -1.5 level pins=in @jacket",
        "hem jacket_hem left -1 level pins=in @jacket",
        g="J",
    ),
    read(
        "R jacket hem up 2, L jacket hem up 1, before the pins",
        "hem jacket_hem right -2 level pins=before @jacket",
        "hem jacket_hem left -1 level pins=before @jacket",
    ),
    read(
        "jacket hem up 2, sleeve hems up 1, with pins in",
        "hem jacket_hem both -2 level @jacket",
        "hem sleeve_hem both -1 level pins=in @jacket",
    ),
    read(
        "shoulder fold 1, R up 2 L up 1 hem, with pins in",
        "let_out shoulder_seam both -1 fold @jacket",
        "hem jacket_hem right -2 level pins=in @jacket",
        "hem jacket_hem left -1 level pins=in @jacket",
        g="J",
    ),
    # --- nothing
    kept("   "),
    kept("..."),
    kept("side seams in 1 at waist to nothing at hip and underarm", "1", g="J"),
)
