/* The trade's words for a visit, as people say them and as a phone's dictation writes them down.
 *
 * Each entry: what it means, and the ways it is said. Dictation hears "four" or "for" where "fore" is
 * meant; such a word counts only behind a side ("left four"), where nothing else makes sense. */
"use strict";
window.spoken = window.spoken ?? {};
(() => {
  const list = (text) => text.split("|").map((one) => one.trim().split(" "));
  const SIDES = { L: "left|near|nearside|near side", R: "right|off|offside|off side" };
  const HEARD_SIDES = { R: "write|rite" };  // only in front of a pair: "write fore"
  const PAIRS = { F: "fore|front|forefoot|front foot|forehoof|front hoof", H: "hind|back|rear|hind foot|back foot|behind|hined|hynde" };
  const HEARD_PAIRS = { F: "four|for|4|forward|full", H: "high end|hides|hined|heind" };  // only behind a side
  const FEET = { LF: "lf|nf|fl", RF: "rf|of|fr", LH: "lh|nh|hl", RH: "rh|oh|hr" };
  const SHORT = new Set(["of", "oh", "fl", "fr", "hl", "hr", "nf", "nh"]);  // ordinary words or unusual: in capitals only
  const GROUPS = {
    "LF RF": "fronts|fores|both fronts|both fores|front pair|fore pair|front feet|fore feet|front two|in front|up front|both front feet|both in front|front shoes",
    "LH RH": "hinds|backs|rears|both hinds|both backs|hind pair|back pair|hind feet|back feet|back two|behind|both hind feet|both behind|hind shoes",
    "LF RF LH RH": "all round|all around|all four|all fours|all feet|all four feet|everywhere|the lot|full set|all the way round",
  };
  const QUANTITIES = {
    toe_angle: "toe angle|toe angles|hoof angle|hoof angles|dorsal angle|dorsal angles|dorsal wall angle|front wall angle|dorsal wall|angle at the toe|angle of the toe",
    toe_length: "toe length|toe lengths|length of toe|length of the toe|toe long|dorsal length|dorsal wall length|toe wall length",
    heel_angle: "heel angle|heel angles|angle of the heel|angle at the heel",
    heel_length_medial: "inside heel length|inside heel|medial heel|medial heel length|inner heel|heel inside|heel length inside|inside heel height",
    heel_length_lateral: "outside heel length|outside heel|lateral heel|lateral heel length|outer heel|heel outside|heel length outside|outside heel height",
    pastern_angle: "pastern angle|pastern angles|pastern|pasterns",
    frog_width: "frog width|width of frog|width of the frog", frog_length: "frog length|length of frog|length of the frog",
    hoof_width: "hoof width|foot width|width of hoof|width of the hoof|width of foot|width of the foot", hoof_length: "hoof length|foot length|length of hoof|length of the hoof",
    coronary_circumference: "coronet|coronet circumference|coronary circumference|round the coronet|coronary band",
    toe: "toe|toes|tow|dorsal", heel: "heel|heels|heal|heals|he'll", angle: "angle|angles", length: "length|lengths", frog: "frog|frogs", heel_height: "heel height|heel length|heel lengths|heel heights",
  };
  const MOMENTS = {
    before: "before|before trim|before the trim|before trimming|as found|came in at|came in|found at|on arrival|pre trim|started at|found|before that",
    after: "after|after trim|after the trim|after trimming|left at|left it at|left him at|left her at|post trim|finished at|trimmed to|now|brought to|ended at|is now|down to|up to",
  };
  const WORK = {
    reset: "reset|resets|re set|refitted|refit|set again|put back on|same shoes back on|same shoes reset|shoes back on|tacked back on|nailed back on|replaced the same shoes",
    "new": "new shoes|new shoe|new set|new ones|new|new pair|shod new|fresh shoes",
    pulled: "pulled|shoes off|shoe off|took shoes off|took the shoes off|pulled shoes|shoes pulled|took off|taken off|removed the shoes",
    barefoot: "barefoot|bare|no shoes|no shoe|unshod|left bare|left barefoot",
    trimmed: "trimmed|trim|trim only|just trimmed|just a trim|only trimmed|trimmed only|trimmed up",
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
    next: "next|next visit|next time|next one|next set|next trim|next due|see again|see her again|see him again|see you|see her|see him|back|back again|again|come back|due|due again|due back|rebook|book|revisit|return",
    fix: "no|sorry|correction|make that|make it|i mean|scratch that|no wait|wait|rather|or rather|actually|oops|that's wrong|strike that|not that",
    hedge: "about|roughly|around|approximately|approx|nearly|almost|maybe|probably|say|or so|ish|between|or|over|under|more than|less than|at least|at most|guess|guessed|estimate|estimated|reckon|looks like|should be|should|aim|aiming|aim for|target|want|wants|wanted|ideally|was last time|last time|last visit|last|previously|previous|used to be|up|plus|minus|steeper|lower|longer|shorter|flatter|difference|gained|lost|dropped|by|grew|higher|more|less|would|could|if|goal|band|limit|plan|planned|normal|usual|usually",
    not: "not|didn't|did not|don't|couldn't|could not|can't|cannot|wouldn't|never|none|without|skip|skipped|unable|not measured",
    same: "same|the same|same again|same as last time|same as before|unchanged|as last time|no change|as before|as last",
    weeks: "week|weeks|wk|wks", days: "day|days", months: "month|months", fortnight: "fortnight|a fortnight",
    in_: "in|on|for|at",
    ago: "ago|old|since|percent|%|kilos|kg|times|pounds|euros|years|year|hours|minutes|o'clock",
    size: "size|sizes", nails: "nails|nail",
    ditto: "other|the other|other one|other side|ditto|likewise|opposite",
    filler: "is|are|the|a|an|of|to|with|it|its|it's|measures|measured|measure|measuring|reads|read|reading|was|were|came|comes|got|gets|have|has|put|and|then|also|foot|feet|hoof|side|my|his|her|at|on|in|for|he|she|i|we|they|that's|that|this|there|please|ok|okay|um|uh|er|erm|so|all|just|horse|visit|shoe|shoes|shod|fitted|fit|set|went|go|going|do|did|done|both|one|ones|gives|giving|be|being|will|i'll|we'll|make|let's|takes|shows|stands|sits|well|right then|exactly|round|around|time|each|comes to|came to|came out at|out",
  };
  window.spoken.words = { list, SIDES, HEARD_SIDES, PAIRS, HEARD_PAIRS, FEET, SHORT, GROUPS, QUANTITIES, MOMENTS, WORK, DETAILS, MARKS };
})();
