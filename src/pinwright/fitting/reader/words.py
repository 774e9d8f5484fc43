"""The words of the notebook: each phrase with what it can be in a line.

A phrase is a run of words; its meaning is one or more marks (tag, value). Tags:

- ``subject``: a named part of a garment; ``garment``; ``side``; ``part`` (front, back, side);
- ``level``: a balance line of the figure; ``prep``: from, to, at, above, below, taper;
- ``act``: what is done; ``mean``: how an amount is meant; ``pins``: read with which pins;
- ``neg``: something is to stay; ``symptom``: something seen; ``trim``: a trimming or cloth;
- ``sep``: between things; ``fill``: says nothing.
"""

from __future__ import annotations

from typing import Literal

from pinwright.fitting.reader.names import LEVELS, SUBJECTS

Tag = Literal[
    "subject", "garment", "side", "part", "level", "prep", "act", "mean", "pins", "neg",
    "symptom", "trim", "sep", "fill", "amount", "unknown",
]  # fmt: skip
Mark = tuple[Tag, str]

_MARKS: dict[str, tuple[Mark, ...]] = {}


def _say(meaning: str, phrases: str) -> None:
    """``meaning`` is "tag:value" or several joined by "+"."""
    marks = tuple(_mark(part) for part in meaning.split("+"))
    for phrase in phrases.split("|"):
        _MARKS[phrase.strip()] = marks


def _mark(part: str) -> Mark:
    tag, _, value = part.partition(":")
    return _TAGS[tag], value


_TAGS: dict[str, Tag] = {
    "subject": "subject", "garment": "garment", "side": "side", "part": "part", "level": "level",
    "prep": "prep", "act": "act", "mean": "mean", "pins": "pins", "neg": "neg",
    "symptom": "symptom", "trim": "trim", "sep": "sep", "fill": "fill",
}  # fmt: skip

_say("garment:trousers", "trousers | trouser | pants | tr | trs")
_say("garment:jacket", "jacket | jackets | jkt | coat")
_say(
    "garment:jacket+subject:side_seam",
    "jacket sides | sides of jacket | sides of the jacket | coat sides | jkt sides",
)
_say(
    "garment:trousers+subject:side_seam",
    "trouser sides | trousers sides | sides of trousers | sides of the trousers | pants sides | "
    "trs sides | outsides of the legs",
)
_say("garment:trousers+subject:leg", "trouser leg | trouser legs")
_say(
    "side:right",
    "right | r | right side | right hand side | rhs | rh | right one | right hand | rt",
)
_say("side:left", "left | l | left side | left hand side | lhs | lh | left one | left hand | lt")
_say(
    "side:both",
    "both | both sides | each side | either side | l and r | r and l | left and right | each | "
    "right and left | r / l | l / r | r + l | l + r | r & l | l & r | both of them | equally | "
    "on both sides | on each side | both legs | both sleeves",
)
_say("side:both+subject:sleeve", "both sleeves")
_say("side:both+subject:leg", "both legs")
_say(
    "part:front",
    "front | fronts | f | fr | on the front | in front | at front | at the front | cf | "
    "centre front | center front",
)
_say("part:back", "back | backs | bk | at back | at the back | on the back | in the back")
_say("part:side", "side | sides | at side | at the side | at the sides | at sides")
_say("part:front+subject:rise", "front rise")
_say("part:back+subject:rise", "back rise | seat rise")
_say("prep:from", "from | starting at | beginning at | out of | off")
_say("prep:to", "to | down to | up to | until | till | as far as | ending at")
_say("prep:at", "at | on | in | over | by | round | around | near | just at | for | of")
_say("prep:above", "above | over waist upwards")
_say("prep:below", "below | under | down from | downwards from | from below")
_say(
    "prep:taper",
    "to nothing at | to nothing by | down to nothing at | up to nothing at | "
    " tapering to | tapering to nothing at | "
    "running to nothing at | "
    "running out at | fading out at | fading to nothing at | to zero at | to 0 at | "
    "tapering off at | run out to nothing at | tapering off to | vanishing at | "
    "going to nothing at | "
    "taper to | taper to nothing at | fading to | fade to nothing at | running out to nothing at | "
    "running into nothing at | runs out at",
)
_say("prep:toward", "towards | toward | nearer | nearer to | closer to")
_say(
    "act:toward_side",
    "towards side seam | towards the side seam | towards side seams | "
    "towards the side seams | toward the side seam | to the side seam | towards the side | "
    "towards side | outwards",
)
_say(
    "act:toward_centre",
    "towards cf | towards the cf | towards centre | towards the centre | "
    "towards centre front | towards the centre front | inwards | to cf | nearer cf | "
    "towards front edge | towards the front edge | towards the front | towards front",
)

_say("act:deeper", "deeper | deepen | deep | deepened | increase depth")
_say("act:shallower", "shallower | less deep | shallow | not so deep | flatter")
_say("act:longer", "longer | lengthen | lengthened | lengthening | extend | extended")
_say("act:shorter", "shorter | shorten | shortened | shortening | cut back | short by")
_say("act:too_long", "too long | over long")
_say("act:too_short", "too short")
_say("act:too_big", "too big | too wide | too large | too loose | too roomy")
_say("act:too_small", "too small | too tight | too narrow")
_say("act:too_square", "too square")
_say("act:too_sloping", "too sloping")
_say("act:pass+act:up", "pass up | passed up")
_say("act:pass+act:down", "pass down | passed down")
_say("act:too_low", "too low | too deep")
_say("act:too_high", "too high | too shallow")
_say(
    "act:up",
    "up | raise | raised | higher | lift | lifted | raise up | lift up | move up | "
    "moved up | turn up | turned up | put up | upwards | bring up",
)
_say("act:take_up", "take up | taken up | takes up")
_say(
    "act:down",
    "down | lower | lowered | drop | dropped | let down | move down | moved down | "
    "let it down | downwards | bring down",
)
_say(
    "act:in",
    "take in | taken in | taking in | bring in | brought in | nip | nip in | nipped | "
    "nipped in | suppress | reduce at",
)
_say("act:in_word", "in | into | inward")
_say("act:out", "let out | letting out | ease out | eased out | release | released | let go")
_say("act:outward", "out | move out | moved out")
_say("act:take", "take | taken | bring | remove | takes")
_say("act:let", "let")
_say("act:take_out", "take out | taken out | wedge out | wedge out of | take away")
_say(
    "act:pin",
    "pin | pinned | pin in | pinned in | pinch | pinched | pin out | pinned out | "
    "pinch out | pinched out | pins | pinch in | pinned away",
)
_say("act:pick_up", "pick up | picked up | pin up | pinned up")
_say("act:plus", "increase | increased")
_say("act:minus", "decrease | decreased | reduce | reduced")
_say(
    "act:more",
    "more | add | added | give | extra | give more | needs | need | needs more | adding | "
    "another | "
    "further | need more",
)
_say(
    "act:room",
    "room | more room | give more room | add room | extra room | more ease | more width | "
    "add width | needs more room | needs room | give room | needs more width | needs more ease",
)
_say("act:less", "less")
_say("act:less_room", "less room | less width | less ease")
_say("act:forward", "forward | forwards | to the front | swing forward | fwd")
_say("act:swung+act:forward", "swung forward")
_say("act:backward", "backward | backwards | to the back | swing back")
_say("act:wider", "wider | widen | widened | fuller | broader")
_say("act:narrower", "narrower | narrow | narrowed | slimmer")
_say("act:sloping", "more sloping | more slope | slope more")
_say(
    "act:square", "squarer | square | squared | more square | less sloping | less slope | square up"
)
_say("act:swing", "swing | rotate | turn | pitch | set")
_say("act:swung", "pitched | swung | rotated | turned")
_say("act:tighter", "tighter | tighten | tightened | snugger | closer fitting")
_say("act:looser", "looser | loosen | loosened | easier | slacker | roomier")
_say("act:taper", "taper | tapered | tapering")
_say("act:ease", "ease | eased | ease in | eased in | easing")
_say("act:lengthwise", "in length | in the length | of length")
_say("act:gather", "gather | gathered | gathers | gathering")
_say("act:pass+part:back", "pass back | pass the back | passed back | back passed | pass backs")
_say("act:off", "off | cut off | take off")
_say("act:towards_point+act:longer", "towards bust point | towards the bust point | to bust point")
_say("act:in+mean:removed", "out per seam | out at each seam | out of each seam")
_say(
    "act:measured",
    "measured | measures | taped | taped at | measured at | measurement | measure | remeasured | "
    "re measured | retaped | re taped | taken again | taken again at | measured again | "
    "taped again | measured now | measured at now",
)

_say(
    "mean:fold",
    "fold | fold depth | deep fold | pinned fold | fold of | fold deep | folds pinned | "
    "tuck | folded | depth of fold | fold depth of | folds of | double | doubled | as a fold | "
    "cm fold | folds each | each a fold | both folds",
)
_say(
    "mean:edge",
    "per edge | each edge | an edge | at each edge | on each edge | off each edge | "
    "both edges | at every edge | per layer | each piece | per piece | by the edge | "
    "per cut edge | "
    "every edge | from each edge | at the edge | each cut edge | edge",
)
_say(
    "mean:removed",
    "removed | per seam | each seam | at each seam | on each seam | every seam | at every seam | "
    "off each seam | cloth removed | taken away | of cloth | a seam | "
    "in each seam | out of the seam",
)
_say(
    "mean:girth",
    "girth | off the girth | on the girth | off girth | round the body | all round | "
    "in the round | from the girth | off the round | of girth | to the girth | girth change | "
    "in girth | all the way round | in circumference | off the circumference",
)
_say("mean:total", "in all | altogether | in total | total | all told | overall | all together")
_say(
    "pins:in",
    "with the pins in | with pins in | read with the pins in | read with pins in | "
    "pins in | pins still in | read pinned | with the pins still in | after pinning | "
    "after the pins",
)
_say(
    "pins:before",
    "before pinning | before the pins | before pins | before pinning up | pins out | "
    "read before the pins | without the pins | before the fold | read before pinning | "
    "before any pins | before the fold was pinned | before pinning it",
)

_say(
    "neg:after",
    "stays | stay | untouched | unchanged | as it is | as is | as they are | stays put | "
    "stays as it is | stay as they are | stays as is | stays the same | remains | remain | "
    "to stay | is to stay | must stay | stays where it is | as before | left alone | is fine | "
    "are fine | is right | are right | not touched | same as before",
)
_say(
    "neg:before",
    "leave | keep | not | don't | do not | dont | without | don't touch | do not touch | "
    "without touching | leave alone | no change to | no change in | no changes to | not touching | "
    "keeping | without changing | never | don't change | do not change | not the | no change at | "
    "no change | hold | keeping the | do nothing to | except | except the | leaving | "
    "without moving | don't move | do not move | dont touch | "
    "no alteration to | no alterations to | no alteration | no alteration at | nothing to do | "
    "nothing to change | nothing to alter | nothing",
)

_say(
    "symptom:",
    "pull | pulls | pulling | drag | drags | dragging | drag line | drag lines | "
    "diagonal fold | diagonal folds | horizontal fold | horizontal folds | vertical folds | "
    "vertical fold | folds | loose folds | wrinkle | wrinkles | smile | smiles | smiling | gape | "
    "gapes | gaping | stands away | stands off | stand away | stand off | tight | loose | baggy | "
    "than | swings | hangs | hang | hanging | good | well | nice | fine | perfect | ok | okay | "
    "kicks | kicks out | rides up | rides | riding up | sits | collapses | strains | strain | "
    "straining | dips | dip | drops | tilts | tilt | lifts | opens up | spreads | pouches | "
    "pokes | "
    "sticks out | floats | cuts | cuts in | cutting in | digs | digs in | droops | drooping | "
    "sags | "
    "sagging | "
    "bulges | bulging | flares | rubs | binds | binding | not enough | hikes | hikes up | twists | "
    "twisting | creeps | ripples | buckles | collapsing | comfortable | uncomfortable | crooked | "
    "uneven | shows | showing | ripple | puckers | puckering | pucker | wants to | doesn't | "
    "does not | falls | falls away | gaps | lovely | likes | happy | bunches | bunching | "
    "creases | creasing | catches | excess | slack | crumples | tips | tips up | breaks | "
    "touches | roll | rolls | rolling | nicely",
)
_say(
    "trim:",
    "button | buttons | lining | thread | zip | zipper | buckle | interfacing | corozo | horn | "
    "fabric | cloth | braid | hook | hooks | eyelet | eyelets | topstitching | trimming | "
    "trimmings | "
    "canvas | pads | shoulder pads | pocketing | hook and bar | snap | snaps | ribbon | elastic",
)
_say(
    "sep:",
    ", | ; | . | : | / | and | & | then | but | also | ( | ) | + | - | = | plus | → | > | ! | "
    "and then | and also | with",
)
_say(
    "fill:",
    "a | an | the | please | about | approx | approximately | ca | c | roughly | cm | it | is | "
    "are | be | by | to be | of | for | on | her | his | she | we | only | just | again | now | "
    "this | that | these | those | make | made | put | must | should | needs to be | "
    "would be | was | were | needs to | will | i | can | as | overall length | by about | "
    "some | so | too | * | • | ' | \" | them | their | its | at the same time | has to be | "
    "have to | has to | needs | all | well done | line | lines | "
    "wants | want | one | goes | go | move | moved | moving | come | comes | have | has | with a | "
    "than drafted | than before | than now | than it is | than cut | than basted | "
    "seam allowance untouched | mark | marked | fitting | along | along the seam",
)


def _nouns(table: dict[str, str], tag: Tag) -> None:
    for name, phrases in table.items():
        for phrase in (p.strip() for p in phrases.split("|")):
            phrase = phrase.replace("-", " ")
            _MARKS.setdefault(phrase, ((tag, name),))
            _MARKS.setdefault(phrase + "s", ((tag, name),))
            first, _, rest = phrase.partition(" of ")
            if rest:
                _MARKS.setdefault(f"{first}s of {rest}", ((tag, name),))
            if "dart " in phrase:
                _MARKS.setdefault(phrase.replace("dart ", "darts ", 1), ((tag, name),))


_nouns(SUBJECTS, "subject")
_nouns(LEVELS, "level")
LONGEST = max(len(phrase.split()) for phrase in _MARKS)


def marks_of(phrase: str) -> tuple[Mark, ...] | None:
    """What the phrase (words joined by one blank, lower case) can be; None when unknown."""
    return _MARKS.get(phrase)
