<?php
// Reads a JSON list of calendars from standard input and says what sabre/vobject makes of each event.

error_reporting(E_ALL & ~E_DEPRECATED);  // Debian's version is older than its PHP
spl_autoload_register(function ($class) {
    require '/usr/share/php/' . str_replace('\\', '/', $class) . '.php';
});

function when($property) {
    $moment = $property->getDateTime();
    return $property['VALUE'] == 'DATE' ? $moment->format('Y-m-d') : $moment->format('c');
}

function read($text) {
    $calendar = Sabre\VObject\Reader::read($text);
    $events = [];
    foreach ($calendar->VEVENT as $event) {
        $events[] = [
            'uid' => (string) $event->UID, 'sequence' => (int) (string) $event->SEQUENCE, 'starts' => when($event->DTSTART),
            'ends' => when($event->DTEND), 'summary' => (string) $event->SUMMARY, 'status' => (string) $event->STATUS,
            'place' => (string) $event->LOCATION,
        ];
    }
    $faults = array_map(function ($fault) { return $fault['message']; }, $calendar->validate());
    return ['method' => (string) $calendar->METHOD, 'events' => $events, 'faults' => $faults];
}

echo json_encode(array_map('read', json_decode(stream_get_contents(STDIN))));
