/* The trade's words for a visit, as people say them and as a phone's dictation writes them down.
 *
 * Each entry: what it means, and the ways it is said. Dictation hears "four" or "for" where "fore" is
 * meant; such a word counts only behind a side ("left four"), where nothing else makes sense. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const list = (text) => text.split("|").map((one) => one.trim().split(" "));
  const SIDES = { L: "left|near|nearside", R: "right|off|offside" };
  const HEARD_SIDES = { R: "write|rite" };  // only in front of a pair: "write fore"
  const PAIRS = { F: "fore|front|forefoot|front foot|front leg|four foot|forehoof|front hoof", H: "hind|back|rear|hind foot|back foot|hind leg|back leg|hine|hynd|hinde|hind hoof|back hoof|behind|hined|hynde" };
  const HEARD_PAIRS = { F: "four|for|4|forward|full", H: "high end|hides|hined|heind" };  // only behind a side
  const FEET = { LF: "lf|nf|fl|nearfore|leftfore|leftfront|nearfront", RF: "rf|of|fr|offfore|rightfore|rightfront|offfront", LH: "lh|nh|hl|nearhind|lefthind", RH: "rh|oh|hr|offhind|righthind" };
  const SHORT = new Set(["of", "oh", "fl", "fr", "hl", "hr", "nf", "nh"]);  // ordinary words or unusual: in capitals only
  const GROUPS = {
    "LF RF": "fronts|fores|the front|front ones|fore ones|both fronts|both fores|front pair|fore pair|front feet|fore feet|front two|in front|up front|at the front|out front|round the front|both front feet|both in front|front shoes|front hooves|fore hooves|both the fronts|both front|both fore|front toes|both front toes|two fronts|front end|fronts only",
    "LH RH": "hinds|backs|rears|the back|back ones|hind ones|back end|both backs|both the hinds|both hind|both back|hind toes|both hind toes|two hinds|back hooves|hind hooves|at the back|out back|round the back|both hinds|both backs|hind pair|back pair|hind feet|back feet|back two|behind|both hind feet|hind shoes|back shoes|both behind|hind shoes",
    "LF RF LH RH": "all round|him all round|all the way around|every foot|each foot|all of them|all four of them|all four corners|four feet|all around|all four|all fours|all feet|all four feet|everywhere|the lot|full set|all the way round",
  };
  const QUANTITIES = {
    toe_angle: "ta|toe angle|tow angle|tow angles|toe angles|hoof angle|hoof angles|dorsal angle|dorsal angles|dorsal wall angle|front wall angle|dorsal wall|front wall|wall angle|angle at the toe|angle of the toe",
    toe_length: "tl|toe length|tow length|tow lengths|toe lengths|length of toe|length of the toe|toe long|wall length|front wall length|toe wall|dorsal length|dorsal wall length|toe wall length",
    heel_angle: "ha|heel angle|heal angle|heal angles|heel's angle|heel angles|angle of the heel|angle at the heel",
    heel_length_medial: "inside heel length|inside heal|medial heal|inside heel|medial heel|medial heel length|inner heel|heel inside|heel length inside|inside heel height|heel on the inside|heels inside|medial heel height|inner heel length",
    heel_length_lateral: "outside heel length|outside heal|lateral heal|outside heel|lateral heel|lateral heel length|outer heel|heel outside|heel length outside|outside heel height|heel on the outside|heels outside|lateral heel height|outer heel length",
    pastern_angle: "pastern angle|pastern angles|pastern|pasterns|pastern at",
    frog_width: "frog width|width of frog|width of the frog", frog_length: "frog length|length of frog|length of the frog",
    hoof_width: "hoof width|foot width|width of hoof|width of the hoof|width of foot|width of the foot", hoof_length: "hoof length|foot length|length of hoof|length of the hoof",
    coronary_circumference: "coronary band circumference|circumference|coronet|coronet band|coronet circumference|coronary circumference|round the coronet|coronary band",
    inside: "inside|medial|inner|inside one", outside: "outside|lateral|outer|outside one", width: "width|widths|wide|across|breadth", long: "long",
    toe: "toe|toes|tow|tows|dorsal", heel: "heel|heels|heal|heals", angle: "angle|angles", length: "length|lengths", frog: "frog|frogs", heel_height: "heel height|heal length|heal lengths|heal height|heel length|heel lengths|heel heights",
  };
  const MOMENTS = {
    before: "before|to start with|to begin with|when i came|when i got here|when i got there|when i arrived|at the start|at first|originally|before i touched it|before i touched him|before i touched her|before shoeing|before the rasp|before trim|before the trim|before trimming|before i started|before i trimmed|before we started|beforehand|as found|as he came|as she came|came in at|come in at|came in|found at|on arrival|pre trim|started at|started on|started out at|found|found him at|found her at|arrived at|untrimmed",
    after: "after|dropped to|gone up to|gone down to|come up to|come down to|gone to|come to|came up to|came down to|came back to|came to|when i finished|when finished|when i left|when done|at the end|to finish|to finish with|by the end|after shoeing|after the rasp|after trim|after the trim|after trimming|afterwards|left at|left it at|left him at|left her at|left them at|leaves them at|leaves it at|leaves him at|leaves her at|post trim|finished at|finished on|finished up at|brings it to|brings him to|brings her to|rasped to|rasped it to|set it at|set it to|this time|back to|now|brought to|brought it to|brought it back to|brought it up to|brought it down to|got it to|get it to|took it to|took it back to|took it down to|taken to|taken back to|ended at|ended up at|ended on|is now|down to|up to|went out at|went away at|once trimmed|when i finished|when i was done|today|makes it|making it",
  };
  const WORK = {
    reset: "reset|refits|pulled and reset|off and reset|taken off and reset|pulled and refitted|old ones back on|nailed the old ones back on|put the old ones back on|put the old shoes back on|the old shoes back on|back on again|put back|went back on|went back on again|same set|same set back on|same again on|resets|resetting|re set|refitted|refit|set again|put back on|put the same shoes back on|same shoes back on|same shoes reset|same shoes again|same shoes|old shoes back on|old shoes on again|with the old shoes|old shoes|shoes back on|shoe back on|tacked back on|nailed back on|replaced the same shoes|shoe reset|shoes reset|reset the shoes|reset shoes",
    "new": "new shoes|new steel|new steels|new sets|put new on|new on|new shod|newly shod|a new one|new one|new shoe|new set|set of new ones|new ones|new|new pair|brand new|shod new|fresh shoes|fresh set",
    pulled: "pulled|pulling|shoes pulled off|took his shoes off|took her shoes off|took his off|took them off|whipped off|whipped the shoes off|off with|removing|taking off|take off|take the shoes off|pulled the shoe|pulled the shoes|pull|shoes off|took shoes off|took the shoes off|took the shoe off|pulled shoes|pulled off|shoes pulled|took off|taken off|removed|removed the shoes|removed the shoe|removed shoes|off today",
    barefoot: "barefoot|without shoes|shoeless|kept bare|still bare|still barefoot|are bare|stay bare|stays bare|bare feet|bare foot|bare|no shoes|no shoe|unshod|left bare|left barefoot|stay barefoot|stays barefoot|going barefoot|went barefoot",
    trimmed: "trimmed|trimmed off|trimmed round|trimmed and balanced|trimmed and rasped|light trim|quick trim|full trim|tidied|rasped and trimmed|trimmed them|trimmed it|a trim|trim and balance|dressed|trim|trims|trimming|trim only|just trimmed|just a trim|only trimmed|trimmed only|trimmed up|trimmed him|trimmed her|trimmed back|tidied up|tidy up",
    "trimmed barefoot": "barefoot trim|barefoot trimmed|trimmed barefoot|trimmed and barefoot",
  };
  const DETAILS = {
    "kind fullered": "fullered", "kind wide": "wide web|wide webbed", "kind rolled": "rolled toe|rolled toes|rocker toe|rocker toes|rolled|rockered", "kind bar": "bar shoe|bar shoes|egg bar|heart bar", "kind plain": "plain",
    "material steel": "steel|steels", "material aluminium": "aluminium|aluminum|alloy|alloys|ally", "material synthetic": "plastic|plastics|rubber",
    "clips toe": "toe clip|toe clips|toeclip|toeclips", "clips side": "side clip|side clips|quarter clips|quarter clip", "clips none": "no clips",
    "studs holes": "stud holes", "studs road": "road studs|road pins|road nails", "studs outside": "outside stud|stud outside", "studs none": "no studs",
    "pad flat": "flat pads|flat pad|pads|pad|leather pads|leather pad", "pad rim": "rim pads|rim pad", "pad wedge": "wedge pads|wedge pad|wedge|wedges", "pad filled": "pad and packing|pads and packing",
    "nails 0": "glued|glued on|glue on|glue ons",
  };
  const MARKS = {
    next: "next|put him down for|put her down for|put them down for|down for|pencilled in|pencilled in for|pencil in|pencil him in|pencil her in|on for|next in|next on|nxt|next visit|next time|next appointment|next one|next set|next trim|next shoeing|next due|see again|see her again|see him again|see them again|see you|see you again|see her|see him|see them|back in|back on the|back again|back for|again in|come back|come again|come in|due|due again|due back|due in|rebook|rebooked|book|booked|booked in|booked for|revisit|return|returning|till i come again|till next time|diary",
    fix: "no|nope|sorry|correction|make that|make it|make him|make her|i mean|scratch that|scrap that|forget that|cancel that|no wait|wait|hang on|hold on|rather|or rather|actually|oops|that's wrong|strike that|not that|tell a lie|no tell a lie|i tell a lie|let me say that again|start again|call it|so call it|let's call it|i meant|meant|misread",
    swap: "that was|that's|that is|it was|it's|i said|should have said|meant to say",
    distrust: "not sure|unsure|don't quote me|couldn't swear|wouldn't swear|wouldn't trust|don't trust|pinch of salt|gauge slipped|slipped|can't be sure|not certain|take that with|might be wrong|could be wrong|might be out|could be out|check that|needs checking|to be checked|question mark|bad reading",
    shade: "steeper|flatter|longer|shorter|higher|lower|more|less|too long|too short|too much|a bit",
    lost: "lost|lost a shoe|cast|came off|come off|was off|were off|missing|already off|already|threw|thrown|sprung|had come off|had pulled|pulled a shoe|pulled it off|pulled his|pulled her|found it off|loose",
    hedge: "we'll|i'll|will|going to|gonna|were due|was due|is due|due new|just under|just over|a shade under|a shade over|not quite|bit over|bit under|in the region of|thereabouts|according to|sheet says|plan says|book says|plan said|had him at|had her at|had it at|always been|supposedly|about|roughly|around|approximately|approx|nearly|almost|close to|near enough|maybe|probably|possibly|perhaps|say|guess|guessed|guessing|estimate|estimated|i reckon|reckon|looks like|should be|should|aim|aiming|aiming for|aim for|target|targeting|want|wants|wanted|want to|wanting|ideally|previously|previous|used to be|difference|gained|lost|dropped|would|would like|could|might|may|must be|if|goal|band|limit|plan|planned|normal|usual|usually|between|over|under|more than|less than|at least|at most|up by|down by|hope|hoping|hoping for|try for|trying for|liked|have liked|working towards|towards|get him to|get her to|vet had|vet says|vet said|vet measured|x ray|x rays|x-ray|on the x ray|radiograph|old farrier|the last farrier|owner says|owner said|owner thinks|last time|last visit|last trim|at the last visit|last month|last year|since last|somewhere|supposed to be|needs|need|by eye|eyeballed|thinking|think|i think|wonder",
    hedged: "in january|in february|in march|in april|in may|in june|in july|in august|in september|in october|in november|in december|back in the spring|in the spring|in spring|in the summer|in summer|in the autumn|in autumn|in the winter|in winter|or so|ish|last time|last visit|last month|last year|at a guess|i'd guess|i guess|i'd say|i think|i reckon|maybe|give or take|more or less|next time|ideally|if that|at most|at least|probably|perhaps|by eye|would be nice|would do|was the plan|off the toe|off both toes|off the toes",
    turn: "but|though|although|however|only got|got|get|gets|gauge says|gauge said|my gauge|gauge|gauge reads|he's|she's|it's|they're|measured|today|he is|she is|it is|actually measured|so|because",
    not: "not|didn't|did not|don't|do not|couldn't|could not|can't|cannot|wouldn't|won't|never|none|without|skip|skipped|unable|not measured|no measuring|no measurements|nothing|isn't|wasn't|no need",
    untouched: "not touched|not done|untouched|left alone|left them alone|left it alone|not trimmed|not reset|didn't touch|did not touch|haven't touched|wasn't done|weren't done",
    that: "that one|which|this one|that foot",
    same: "same|same as the left|same as the right|same as the other|same as the other side|same as left|same as right|same as that|the same as the left|the same as the right|the same as the other|the same as left|the same as right|matches|the same|same again|same as last time|same as before|the same as last time|unchanged|as last time|no change|as before|as last|ditto|likewise|as well|too|same there|same on",
    weeks: "week|weeks|wk|wks|week's|weeks'", days: "day|days", months: "month|months", fortnight: "fortnight|a fortnight",
    in_: "in|on|for|at", from_: "from",
    foreign: "ago|old|since|percent|%|kilo|kilos|kg|times|quid|pound|pounds|euro|euros|£|€|$|cash|paid|owes|pence|dollars|years|year|hour|hours|minute|minutes|o'clock|am|pm|hands|hand high|hh|grade|score|body score|condition score|weighs|weight|kilograms|temperature|phone|invoice|bill|charge|charged|cost|costs|out of ten|out of five|miles|mile|horses|ponies|people|metres|yards|number|seconds|steps|strides|apart|thick|deep",
    odd: "crack|cracks|sandcrack|hole|holes|abscess|bruise|stone|stones|sole|lame|flare|thrush|chip|seedy|lesion|grown|grew|wound|scar|lump|swelling|ring|shim|branch|branches|paddock|pulse|beats|white line|bulb|bulbs|sulcus|hairline",
    size: "size|sizes", nails: "nails|nail",
    each: "both|each|apiece|the pair|both sides|both of them|each side|alike|either side",
    other: "other one|the other|other|the other one|other side|the other side|opposite|its mate|the other foot",
    otherthree: "others|rest|the others|all the others|other three|the other three|the rest|other three feet",
    butfor: "everything but|everything except|all but|all except|everywhere but|every foot but|all feet but|all four but|all four except|all round except|all round but|all feet except|every foot except",
    filler: "leg|limb|=|pair|is|are|am|the|a|an|of|to|with|it|its|measures|measure|measuring|measurement|reads|read|reading|readings|was|were|came|comes|come|have|has|had|put|and|then|also|plus|foot|feet|hoof|hooves|side|my|his|her|their|him|them|by|at|as|he|she|i|we|they|you|this|that|there|please|ok|okay|um|uh|er|erm|ehm|hm|all|just|horse|mare|gelding|pony|visit|shoe|shoes|shod|fitted|fit|set|went|go|going|do|did|done|one|ones|gives|giving|gave|be|being|been|we're|we've|i've|i'm|let's|takes|took|taken|take|shows|showing|stands|standing|stood|sits|sitting|well|right then|exactly|round|time|comes to|came out at|comes out at|out|first|finally|again|still|bang on|spot on|dead on|dead|flat|on the nose|brought|bring|said|finish|finished|started|leaving|leave|leaves|kept|straight|both ways|her's|his's|each way|only|up|down|back|mm|even|nice|good|lovely|fine|what|which|how|when|here|where|who|s",
  };
  window.spoken.words = { list, SIDES, HEARD_SIDES, PAIRS, HEARD_PAIRS, FEET, SHORT, GROUPS, QUANTITIES, MOMENTS, WORK, DETAILS, MARKS };
})();
