"""The text of a new job file, to fill in."""

import datetime

_NEW = """\
# A job for the linkage. Take the # off a line to say it; what is not said is assumed,
# or comes from the shop file. The command line wins over this file.
# A length needs its unit: "1/8 in", "3.2 mm", "1' 4\\"". One number without a unit is
# read only where `units` is said.

#name = "carving"                # title of the sheets
#date = {date}              # printed on them; the same date gives the same bytes
#revision = "B"                  # printed beside the date
#units = "mm"                    # mm or in: how lengths are written for you
#finish = "linseed oil"          # these three are printed on the job sheet as you say them
#art-from = "drawn by Emma"
#allowed-by = "Emma"

#[board]
#size = "600 x 200 x 19.05 mm"   # width x height x thickness; without it the board is cut to the figure
#thickness = "3/4 in"            # where the size is not said
#margin = "20 mm"                # from the board's edge to the outermost groove's edge
#wood = "pine"
#grain = "along"                 # along or across the board's width, or degrees from it

#[linkage]
#ratio = "1:2"                   # carving : template, also "50%" or 0.5; trace a long line and measure it
#reach = "400 x 300 mm"          # what the bit reaches on the wood in one set-up; larger figures get several
#turned = false                  # the copy is turned by 180 degrees: the pivot is between stylus and bit
#table = "900 x 600 mm"          # the largest template that lies flat under the stylus

#[router]
#base = "150 mm"                 # across its base: no clamp may stand under it

#[bit]
#spec = "V 60deg 1/2in"          # or a bit's name in the shop file; "round 1/4in", "straight 1/8in"
#depth = "1/16 in"

#[sheets]
#paper = "A4"                    # A4, A3, Letter, Legal, Tabloid, or "12 x 18 in"
#hold = "fewest"                 # the paper portrait, landscape, or whichever takes fewer sheets
#margin = "10 mm"                # border that your printer leaves free
#overlap = "10 mm"               # what neighbouring sheets both show
#bar = "99.2 x 99.4 mm"          # the 100 mm bars as they printed: across and down the upright paper

#[rules]
#retrace = true                  # follow a groove again rather than lift the router
#max-widening = 2.0              # a stroke may come out so many times as wide as it was drawn
#thin = "drop"                   # drop what would come out wider than that, or keep it
#stops = 1                       # depth settings of the router to use, 1 to 3: bold lines deep, fine shallow
#hand = "0 mm"                   # how far your hand strays on the template: the wood between must bear it
#read-from = "10 ft"             # how far off words are to be read; else it is said how far they carry
#land-along = "3 mm"             # least wood between grooves along the grain, else a rule of thumb
#land-across = "3/16 in"         # and across it

# Single strokes, by the numbers that report.html shows; a range is "10-12".
#[strokes]
#leave-out = []                  # not cut, as [3, 7, "10-12"]
#keep = []                       # cut, though the bit will not hold them
#join = []                       # a stroke from end to end, as [["3 end", "7 start"]]
#thin-out = []                   # bundles of lines, as [["14-19"]]: every second goes, until the wood holds
#stop = {{}}                       # depth stop of a stroke, 1 the deepest, as {{8 = 2, 10-12 = 2}}
#side = {{}}                       # of the edge of a solid: on, inside or outside, as {{5 = "inside"}}

# One [[bits]] for each bit at hand, where they are not those of the shop file.
#[[bits]]
#name = "sign V"                 # bit.spec may say this name; the first is used where it says none
#spec = "V 60deg 1/2in"

# One [[pieces]] for each picture, for words, and for a border: each says one of art, words and border.
# Sizes are on the wood, between the middles of the outermost strokes; give both to fit it inside. x and y
# place the left and top of that; without them the piece is centred, with all that lies beside it.
#[[pieces]]
#name = "hare"                   # to place others beside it
#art = "picture.png"             # beside this file, or a path from here
#width = "200 mm"
#height = "150 mm"
#x = "30 mm"
#y = "30 mm"
#turn = 0                        # degrees, clockwise
#follow = "line"                 # the middle of lines, or the edge of all ink: letters, silhouettes
#dpi = 300                       # where the picture's own is wrong; instead of it one of the next two
#art-width = "210 mm"            # of the whole picture on its own paper
#known = "120,340 560,340 = 85 mm"  # two places in the picture, in pixels, and the length between them
#page = 1                        # of a file with several
#photo-of = "auto"               # the sheet in a photo: A4, Letter, any, or no
#corners = "210,180 2890,240 2960,3900 150,3850"  # of that sheet, in pixels, where they are not found
#deskew = false                  # turn a scan straight that lies a little askew
#close-gaps = true               # close small gaps in lines; each has a number in the report
#open-gaps = []                  # the numbers of those to leave open, as [2, "5-7"]
#insist = false                  # go on though the picture does not look like line art

#[[pieces]]
#words = "EMMA"                  # or a list of lines, as ["EMMA", "& TOM"]
#font = "plain"                  # a face that comes with tracer, or a font file beside this one
#instance = "Bold"               # of a variable font or a collection
#cap-height = "40 mm"            # of the capitals on the wood; or say width, height or both, as of a picture
#cut = "middle"                  # one groove along each stroke; outline: its edge; cleared: the area, too
#raised = false                  # the letters stand and the ground goes; of outline and cleared
#align = "centre"                # of shorter lines: left, centre or right
#tracking = 0                    # added between letters, in capital heights
#pitch = 1.6                     # from baseline to baseline, in capital heights
#arc = "300 mm"                  # radius of the first line's baseline: on a hill; "-300 mm": in a bowl
#below = "hare"                  # or above, left-of, right-of, centred-on: instead of x and y
#gap = "20 mm"                   # between the two; unsaid it is the margin
#line-up = "middles"             # or starts: left or top ends in one line; ends: right or bottom ones

#[[pieces]]
#border = "20 mm"                # from the board's edge; without a board round all others
#border-radius = "0 mm"          # of its corners
"""


def new_job_text(date: datetime.date) -> str:
    """Return a job file with every setting in it, none said yet."""
    return _NEW.format(date=date.isoformat())
