SELECT label, version FROM labels WHERE design_id = ?1 ORDER BY label
