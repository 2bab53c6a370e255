<?php
// php sabre.php FILE: FILE as sabre/vobject reads it (Debian's php-sabre-vobject), the reader of many CalDAV servers.
error_reporting(E_ALL & ~E_DEPRECATED & ~E_STRICT & ~E_WARNING & ~E_NOTICE);
require '/usr/share/php/Sabre/VObject/autoload.php';

use Sabre\VObject;

$calendar = VObject\Reader::read(file_get_contents($argv[1]));
$moment = function ($property) {
    if (strlen((string) $property) === 8) {
        return (string) $property;
    }
    $time = new DateTime($property->getDateTime()->format(DATE_ATOM));
    return $time->setTimezone(new DateTimeZone('UTC'))->format('Ymd\THis\Z');
};
$seconds = function ($trigger) {
    if (isset($trigger['RELATED']) && (string) $trigger['RELATED'] === 'END') {
        return 'END';
    }
    $zero = new DateTimeImmutable('2000-01-01T00:00:00Z');
    return $zero->add(VObject\DateTimeParser::parseDuration((string) $trigger))->getTimestamp() - $zero->getTimestamp();
};
$events = [];
foreach ($calendar->select('VEVENT') as $part) {
    $alarms = [];
    foreach ($part->select('VALARM') as $alarm) {
        $alarms[] = $seconds($alarm->TRIGGER);
    }
    $events[] = [
        'uid' => (string) $part->UID,
        'start' => $moment($part->DTSTART),
        'end' => $moment($part->DTEND),
        'sequence' => (int) (string) $part->SEQUENCE,
        'status' => (string) $part->STATUS,
        'transparent' => (string) $part->TRANSP === 'TRANSPARENT',
        'alarms' => $alarms,
    ];
}
echo json_encode($events, JSON_THROW_ON_ERROR);
