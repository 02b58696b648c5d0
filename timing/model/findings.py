"""Every kind of finding: its code, what it means, and whether it keeps a measurement from being used.

A finding is a fact kept with a line, a clip or the whole plan; it never stops the work. A new kind is one row here. The
list in the README and the codes in plan.schema.json are held to this one by a test.
"""

from __future__ import annotations

from enum import StrEnum


class FindingCode(StrEnum):
    """The code is the text; ``meaning`` one sentence; ``spoils``: a reading with it does not give a line its times."""

    meaning: str
    spoils: bool

    def __new__(cls, code: str, meaning: str = "", spoils: bool = False) -> FindingCode:
        member = str.__new__(cls, code)
        member._value_ = code
        member.meaning, member.spoils = meaning, spoils
        return member

    # reading the script
    ENCODING_GUESSED = "encoding-guessed", "The script is not UTF-8; its letters were read as Windows-1252."
    READ_AS_PLAIN = "read-as-plain", "No Fountain speech was found, so the script was read as NAME: words."
    NO_DIALOGUE = "no-dialogue", "Nothing in the script is spoken or sung."
    CHAT_STAMPS = "chat-stamps", "Time stamps of a chat were taken out of the script."
    SPEAKER_DOUBTFUL = "speaker-doubtful", "A word was read as a speaker's name and may be something else."
    SPEAKER_NEAR = "speaker-near", "A speaker's name is nearly another's: perhaps a slip."
    SPEAKER_WITHOUT_WORDS = "speaker-without-words", "A name stands without any words."
    SPEAK_TOGETHER = "speak-together", "Two names before one speech: each of them speaks it."
    DUAL_ALONE = "dual-alone", "A mark for speaking together has no speech before it."
    NAME_IN_SPEECH = "name-in-speech", "A speech holds what looks like another speaker's name."
    NAME_NOT_IN_CAPITALS = (
        "name-not-in-capitals",
        "A Fountain speaker's name is not in capitals, so the passage was read as picture.",
    )
    HEADING_NOT_ALONE = "heading-not-alone", "A scene heading does not stand alone, so it was read as text."
    READ_AS_PICTURE = "read-as-picture", "Text without a speaker was read as picture."
    SPEECH_OR_PICTURE = "speech-or-picture", "It cannot be told whether this is spoken or picture."
    SUNG_BY_DIRECTION = "sung-by-direction", "Words were read as sung because a direction says so."
    SINGER_UNKNOWN = "singer-unknown", "Nobody is named who sings these lines."
    SONG_END_ASSUMED = "song-end-assumed", "A song seems to end here, so what follows was read as spoken."
    SONG = "song", "A heading or mark was read as the beginning of a song."
    HEADING_NEAR = "heading-near", "The heading of a song's part is nearly a known one: perhaps a slip."
    SONG_CUE_UNUSED = "song-cue-unused", "A song note is followed by no sung line."
    AGAIN_UNKNOWN = "again-unknown", "A part of a song is called back that is written nowhere."
    AGAIN_STANZA = "again-stanza", "Where a chorus ends cannot be told for certain; its first verse was brought back."
    AGAIN_DOUBTFUL = "again-doubtful", "How often a part of a song is sung cannot be told for certain."
    SECTION_EMPTY = "section-empty", "A part of a song is headed and has no words."
    BESIDE_HEADING = "beside-heading", "Words beside the heading of a song's part are not sung."
    NOTE_NOT_UNDERSTOOD = "note-not-understood", "A note in double brackets was not understood."
    NOTE_UNUSED = "note-unused", "A note chooses a profile or a first picture where no line stands."
    NOT_CLOSED = "not-closed", "A note, bracket or comment is opened and never closed."
    PAUSE_ALONE = "pause-alone", "A pause stands where nobody speaks."
    WAIT_ASSUMED = "wait-assumed", "A wait for an answer has no length; three seconds were put."
    SET_ASIDE = "set-aside", "Lines around the script (a cast list, a chat's closing words) were left out."
    LENGTH_ALONE = "length-alone", "A length stands where there is nothing to last that long."
    LENGTH_IN_SPEECH = "length-in-speech", "A length stands beside words that cannot be given one."
    DIRECTION_NEAR = "direction-near", "A direction is nearly a known one: perhaps a slip."
    ASIDE_SPOKEN = "aside-spoken", "Words in brackets were read as spoken."
    UNSPOKEN_ASIDE = "unspoken-aside", "Words in brackets were read as not spoken."
    UNSPOKEN_EMOJI = "unspoken-emoji", "A sign or emoji is not spoken."
    NOTHING_SPOKEN = "nothing-spoken", "A speech without a word is planned as picture."

    # how words are said
    GUESSED_WORD = "guessed-word", "A word is in no dictionary; how it is said was guessed."
    HOMOGRAPH = "homograph", "A word is said in more than one way; the likelier one was taken."
    OTHER_LANGUAGE = "other-language", "A line looks like another language than the episode's."
    LANGUAGE_ASSUMED = (
        "language-assumed",
        "How fast this language is spoken was not measured; another's rate was taken.",
    )
    UNKNOWN_LANGUAGE = "unknown-language", "For this language there are break patterns only."
    WORDS_NOT_READ = "words-not-read", "Words in letters the language is not written in were not read."

    # settings that fit nothing
    CAST_UNUSED = "cast-unused", "A cast entry names somebody who does not speak."
    TAKE_UNUSED = "take-unused", "A chosen take belongs to a line that does not exist."
    TAKE_MISSING = "take-missing", "A chosen take's file does not exist."
    PROFILE_UNUSED = "profile-unused", "A clip profile, or a key that chooses one, has no effect."
    PROFILE_ASSUMED = "profile-assumed", "Nobody chose what makes these clips; the tool's own menu was taken."
    SONG_UNUSED = "song-unused", "A song entry has no sung line."
    SAY_UNUSED = "say-unused", "A [say] entry's word is not in the script."
    REST_UNUSED = "rest-unused", "A finding is put to rest for a line that does not exist."
    REST_LAPSED = "rest-lapsed", "A finding was put to rest for other words or another take."

    # recordings
    UNREADABLE = "unreadable", "A sound file cannot be read.", True
    SILENT = "silent", "A recording is silent.", True
    QUIET = "quiet", "A recording is very quiet."
    NOISY = "noisy", "A recording is noisy, so times are less sure."
    CLIPPED = "clipped", "A recording is too loud for its format."
    DAMAGED = "damaged", "Parts of a file are damaged and were left out."
    UNPLACED = "unplaced", "None of the script's lines was found in a recording."
    NAMED_WRONGLY = "named-wrongly", "A recording is named after a line whose words are not in it."
    CHOSEN_MISSING = "chosen-missing", "A chosen reading was not found in its file."
    LABEL_UNUSED = "label-unused", "A row of a label file fits nothing, so it is not used."
    NOT_SAID = "not-said", "Words of the script are missing in the recording.", True
    SAID_DIFFERENTLY = "said-differently", "Words were said differently from the script."
    SCRIPT_CHANGED = "script-changed", "The script was changed after the recording, which holds a line's earlier words."
    EXTRA_WORDS = "extra-words", "Something is said that nobody wrote."
    UNCLEAR = "unclear", "The words fit the sound badly, so times may be wrong.", True
    LENGTH_OVERRULES = "length-overrules", "A length noted beside a line counts instead of its reading's."
    ROUGH = "rough", "The words could not be followed; only where the sound begins and ends is measured.", True
    SINGING_NOT_FOUND = "singing-not-found", "A sung line was not found in its song; its times follow the beat."

    # songs
    SONG_FILE_UNUSABLE = "song-file-unusable", "A song's file cannot be used; its lines follow its settings alone."
    BARS_ASSUMED = "bars-assumed", "Nobody said in which bar a song's lines begin, so their places are assumed."
    TEMPO_UNSURE = "tempo-unsure", "The tempo heard is not sure."
    TEMPO_OCTAVE = "tempo-octave", "The beat may be counted at half or double the tempo."
    TEMPO_DIFFERS = "tempo-differs", "The tempo heard is not the one given."
    TEMPO_ASSUMED = "tempo-assumed", "A song has neither file nor tempo; a tempo is assumed."
    TEMPO_CHANGES = "tempo-changes", "The tempo changes within the song."
    BEAT_BREAKS = "beat-breaks", "The beat breaks off and begins anew."
    BARS_RESTART = "bars-restart", "After a break a new bar is taken to begin."
    BARS_UNKNOWN = "bars-unknown", "Which beats begin bars is not known."
    METRE_GUESSED = "metre-guessed", "The metre is a guess."
    WEAK_PULSE = "weak-pulse", "Little in the sound marks the beat."
    HALF_BEAT_UNSURE = "half-beat-unsure", "The beats may lie half a beat away."
    THIRD_BEAT_UNSURE = "third-beat-unsure", "The beats may lie a third of a beat away."
    BARS_TOLD_TWICE = "bars-told-twice", "A row for a bar says otherwise than downbeat_s, and moves the bars."
    DOWNBEAT_OFF_BEAT = "downbeat-off-beat", "The first beat given lies on none of the beats heard."
    LINE_DOES_NOT_FIT_BARS = "line-does-not-fit-bars", "A line has more syllables than its bars hold."
    LINE_LONGER_THAN_ITS_BARS = "line-longer-than-its-bars", "A line's marks take more bars than the song gives it."
    LINE_NOT_IN_TUNE = "line-not-in-tune", "A line's words are not in the tune file."
    STRESS_OFF_BEAT = "stress-off-beat", "A stressed syllable falls between the beats."
    SUNG_TOO_FAST = "sung-too-fast", "A line has to be sung very fast."
    PICK_UP_BEFORE_SONG = "pick-up-before-song", "A pick-up begins before the song does."
    BARS_OVERLAP = "bars-overlap", "A line begins while its own voice still sings another one."
    AFTER_THE_SONG = "after-the-song", "A line is to be sung after its song has ended."
    CUT_OFF_BEAT = "cut-off-beat", "The picture cuts off the song's beat."
    CUTS_FLASH = "cuts-flash", "Cuts within a song come close together and can flash."
    CUTS_CLOSE = "cuts-close", "Cuts come close together and can flash."
    PICTURE_UNDER_SONG = "picture-under-song", "A picture between sung lines has no room for a clip of its own."

    # clips to ask for
    TOO_LONG = "too-long", "A line is too long for one generation."
    NO_LENGTH_HOLDS_IT = "no-length-holds-it", "A word alone is too long for one generation."
    NO_PICTURE = "no-picture", "Between two clips no clip shows anything."
    FAST_FOR_CHILDREN = "fast-for-children", "Lines are spoken faster than small children follow well."
    BRISK = "brisk", "A line is spoken fast at the length asked for."
    OVER_TOO_SHORT = "over-too-short", "A passage is too short for the voice off camera that follows it."
    MASTER_PICTURE = "master-picture", "A clip would be the third in a row to start from a frame of the one before."
    PICTURE_MISSING = "picture-missing", "A first picture that a note names is not in the folder pictures."
    SHARED = "shared", "One generation holds several lines."

    # another language on the same clips
    DUB_TOO_LONG = "dub-too-long", "A line in another language is too long for the clip that exists."
    DUB_SHORT = "dub-short", "A line in another language is too short for the clip that exists."
    DUB_SYLLABLES = "dub-syllables", "A sung line in another language has more syllables than notes."
    DUB_NO_TEXT = "dub-no-text", "A line has no words in the other language yet."

    # clips that came back
    UNKNOWN_CLIP = "unknown-clip", "A file that came back belongs to no clip."
    OUTDATED = "outdated", "What came back was asked for with other words.", True
    WRONG_LINE = "wrong-line", "What came back holds another line.", True
    RATE = "rate", "The picture rate is not the one planned."
    LENGTH = "length", "The length is not the one asked for."
    TOO_SHORT = "too-short", "The file is shorter than its use."
    SHIFT = "shift", "The sound is late or early against the recording."
    DRIFT = "drift", "The sound runs slower or faster than the recording."
    ACCEPTED_MISSING = "accepted-missing", "An accepted file is not among the clips."
    ACCEPTED_FOR_OTHER_WORDS = "accepted-for-other-words", "What was accepted held words that the clip has no longer."
    NOT_FOLLOWED = "not-followed", "An accepted take's words could not be followed, so its line keeps other times."
    DIRECTIONS_CHANGED = "directions-changed", "A clip came back before its line's directions were changed."
    VOICE_ALONE = "voice-alone", "A converted voice has no take of its clip beside it, or its file is missing."
    VOICES_SEVERAL = "voices-several", "Several converted voices lie beside one clip."
    VOICE_OTHER_READING = "voice-other-reading", "What is called a converted voice is another reading of the line."
    VOICE_LENGTH = "voice-length", "A converted voice is longer or shorter than the clip it was made from."
    VOICE_SHIFT = "voice-shift", "A converted voice lies late or early against its clip's own sound."
    VOICE_DRIFT = "voice-drift", "A converted voice runs slower or faster than its clip's own sound."
    CUT_OFF_START = "cut-off-start", "The first word is cut off.", True
    CUT_OFF_END = "cut-off-end", "The last word is cut off.", True

    # the real cut
    CUT_TAKES_WORDS = "cut-takes-words", "The real cut takes words away, or cuts into them."
    CUT_LEFT_OUT = "cut-left-out", "A clip is not in the real cut."
    CUT_MOVED = "cut-moved", "A clip stands elsewhere in the real cut than in the script."
    CUT_REPEATED = "cut-repeated", "The real cut shows the same part of a clip more than once."
    CUT_GAP = "cut-gap", "The real cut shows nothing for a while."
    CUT_UNKNOWN = "cut-unknown", "Something in the real cut is no clip of the script."
    CUT_OTHER_TAKE = "cut-other-take", "The real cut shows another take than the one accepted, or the best."
    CUT_OUTSIDE = "cut-outside", "The real cut asks for frames that a file does not have."
    CUT_APART = "cut-apart", "Picture and sound of a clip lie apart in the real cut."
    CUT_SPEED = "cut-speed", "A speed change in the real cut; its words have no place there."
    CUT_LENGTHS = "cut-lengths", "An event of the real cut contradicts itself or another one."
    CUT_RATE = "cut-rate", "The real cut counts in another frame rate than the episode."

    # what is written
    CAPTION_FAST = "caption-fast", "A caption is faster than it can be read."
    CAPTION_SHORT = "caption-short", "A caption stands too short."
    CAPTION_LONG = "caption-long", "A caption is longer than two lines hold."
    SONG_FILES_ALIKE = "song-files-alike", "Two songs' names make one file name, so one of them is numbered."
    CAPTION_LASTS = "caption-lasts", "A caption stands longer than six seconds."
    FONT_LACKS = "font-lacks", "The typeface lacks a character."
    SCRIPT_NEEDS_SHAPING = "script-needs-shaping", "Letters of this script cannot be set on the sheets."
