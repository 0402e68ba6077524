"""The page: engraved sheet, worksheet, MusicXML, MIDI and WAV."""
